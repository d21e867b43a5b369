import type { TrialBalance, TrialBalanceQuery } from '#contracts/journal';
import { moneyOf, type Money } from '#contracts/money';
import { done, type Outcome } from '#contracts/outcome';
import type { CurrencyCode } from '#domain/money/currency';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { accountRefOf } from './post';
import { holderNames } from './post.sql';
import { readBalances, type AccountBalance } from './read.sql';

/** Every account's opening balance, movement and balance at the end of a day, and both sides' totals, which are equal. */
export function readTrialBalance(deps: Backoffice, caller: Caller, query: TrialBalanceQuery): Promise<Outcome<TrialBalance>> {
  return perform<TrialBalance>(deps, caller, 'journal.read', async ({ tx }) => {
    const { on, from = null } = query;
    const balances = await readBalances(tx, { on, from });
    const names = await holderNames(tx, [...new Set(balances.flatMap(({ code }) => accountRefOf(code).holderId ?? []))]);
    return done({
      on,
      from,
      accounts: balances.map((balance) => accountBody(balance, names)),
      totals: [...new Set(balances.map((balance) => balance.currency))].sort().map((currency) => totalsIn(currency as CurrencyCode, balances)),
    });
  });
}

function accountBody(row: AccountBalance, names: ReadonlyMap<string, string>): TrialBalance['accounts'][number] {
  const money = (minor: bigint): Money => moneyOf(minor, row.currency as CurrencyCode);
  return {
    code: row.code,
    name: row.name,
    kind: row.kind as TrialBalance['accounts'][number]['kind'],
    holderName: names.get(accountRefOf(row.code).holderId ?? '') ?? null,
    opening: money(row.opening_minor),
    debits: money(row.debits_minor),
    credits: money(row.credits_minor),
    balance: money(row.balance_minor),
  };
}

function totalsIn(currency: CurrencyCode, balances: readonly AccountBalance[]): TrialBalance['totals'][number] {
  const amounts = balances.filter((balance) => balance.currency === currency).map((balance) => balance.balance_minor);
  const sum = (counts: (minor: bigint) => boolean): bigint => amounts.filter(counts).reduce((total, minor) => total + minor, 0n);
  return { currency, debits: moneyOf(sum((minor) => minor > 0n), currency), credits: moneyOf(-sum((minor) => minor < 0n), currency) };
}
