import type { TrialBalance } from '#contracts/journal';
import { moneyOf } from '#contracts/money';
import { done, type Outcome } from '#contracts/outcome';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { readBalances, type AccountBalance } from './read.sql';

/** Every account's balance at the end of a day, and both sides' totals, which are equal. */
export function readTrialBalance(deps: Backoffice, caller: Caller, on: LocalDate): Promise<Outcome<TrialBalance>> {
  return perform<TrialBalance>(deps, caller, 'journal.read', async ({ tx }) => {
    const balances = await readBalances(tx, on);
    return done({
      on,
      accounts: balances.map(({ code, name, kind, currency, balance_minor }) => ({
        code,
        name,
        kind: kind as TrialBalance['accounts'][number]['kind'],
        balance: moneyOf(balance_minor, currency as CurrencyCode),
      })),
      totals: [...new Set(balances.map((balance) => balance.currency))].sort().map((currency) => totalsIn(currency as CurrencyCode, balances)),
    });
  });
}

function totalsIn(currency: CurrencyCode, balances: readonly AccountBalance[]): TrialBalance['totals'][number] {
  const amounts = balances.filter((balance) => balance.currency === currency).map((balance) => balance.balance_minor);
  const sum = (counts: (minor: bigint) => boolean): bigint => amounts.filter(counts).reduce((total, minor) => total + minor, 0n);
  return { currency, debits: moneyOf(sum((minor) => minor > 0n), currency), credits: moneyOf(-sum((minor) => minor < 0n), currency) };
}
