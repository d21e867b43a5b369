import type { Obstacle, PayableAccount, Payables, PayablesQuery } from '#contracts/payment-run';
import { moneyOf } from '#contracts/money';
import { done, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { CurrencyCode } from '#domain/money/currency';
import { selectInForce, type BankDetailRow } from '../bank-detail/bank-detail.sql';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { presentOperator } from '../operator/operator.sql';
import { perform } from '../perform';
import { groupBy } from '../settlement/inputs/group-by';
import { selectKeptBack, selectOnAccount, selectPayables, type PayableRow } from './payables.sql';

/** What is due to one payee of one agreement, and to which account it goes. */
export type AccountDue = {
  readonly rows: readonly [PayableRow, ...PayableRow[]];
  readonly onAccountMinor: bigint;
  /** What is left to pay; above zero unless something paid on account covers it. */
  readonly paysMinor: bigint;
  readonly detail: BankDetailRow | null;
  readonly obstacle: Obstacle | null;
};

export type Due = { readonly currency: CurrencyCode; readonly from: BankDetailRow | null; readonly accounts: readonly AccountDue[] };

/** What a run would pay, and what it would leave out and why. */
export function readPayables(deps: Backoffice, caller: Caller, query: PayablesQuery): Promise<Outcome<Payables>> {
  return perform<Payables>(deps, caller, 'payment-run.read', async ({ tx }) => {
    const due = await accountsDue(tx, { currency: query.currency ?? (await presentOperator(tx)).currency, runId: null });
    const payable = due.accounts.filter(({ obstacle }) => obstacle === null);
    return done({
      currency: due.currency,
      from: due.from === null ? null : shownAccount(due.from),
      transfers: payable.length,
      sum: moneyOf(payable.reduce((sum, { paysMinor }) => sum + paysMinor, 0n), due.currency),
      accounts: due.accounts.map((account) => toPayableAccount(account, due.currency)),
    });
  });
}

export async function accountsDue(tx: TenantTransaction, asked: { readonly currency: CurrencyCode; readonly runId: string | null }): Promise<Due> {
  const groups = [...groupBy(await selectPayables(tx, asked), accountKey).values()];
  const agreementIds = [...new Set(groups.flatMap((rows) => rows.map((row) => row.agreement_id)))];
  const onAccount = groupBy(await selectOnAccount(tx, agreementIds), accountKey);
  // The same money is kept back once.
  const keptBack = groupBy(await selectKeptBack(tx, { agreementIds, exceptRunId: asked.runId }), accountKey);
  const details = await selectInForce(tx, [...new Set(groups.flatMap((rows) => rows.map((row) => row.party_id)))]);
  const inForce = new Map(details.map((detail) => [detail.party_id, detail]));
  const from = inForce.get(null) ?? null;
  const accounts = groups.flatMap(([first, ...others]): AccountDue[] => {
    if (first === undefined) return [];
    const rows = [first, ...others] as const;
    const openMinor = rows.reduce((sum, row) => sum + row.open_minor, 0n);
    const waitingMinor = (onAccount.get(accountKey(first)) ?? []).reduce((sum, row) => sum + row.on_account_minor, 0n);
    const elsewhereMinor = (keptBack.get(accountKey(first)) ?? []).reduce((sum, row) => sum + row.kept_back_minor, 0n);
    const freeMinor = waitingMinor > elsewhereMinor ? waitingMinor - elsewhereMinor : 0n;
    const onAccountMinor = freeMinor < openMinor ? freeMinor : openMinor;
    const detail = inForce.get(first.party_id) ?? null;
    const paysMinor = openMinor - onAccountMinor;
    return [{ rows, onAccountMinor, paysMinor, detail, obstacle: obstacleOf({ from, detail, paysMinor }) }];
  });
  return { currency: asked.currency, from, accounts };
}

export function accountKey(row: { readonly agreement_id: string; readonly party_id: string }): string {
  return `${row.agreement_id} ${row.party_id}`;
}

function shownAccount(detail: Pick<BankDetailRow, 'id' | 'country' | 'ending'>): { bankDetailId: string; country: string; ending: string } {
  return { bankDetailId: detail.id, country: detail.country, ending: detail.ending };
}

function obstacleOf({ from, detail, paysMinor }: { readonly from: BankDetailRow | null; readonly detail: BankDetailRow | null; readonly paysMinor: bigint }): Obstacle | null {
  if (paysMinor === 0n) return 'paid-on-account';
  if (from === null) return 'no-own-account';
  if (detail === null) return 'no-account';
  return detail.kind === from.kind ? null : 'other-kind-of-account';
}

function toPayableAccount({ rows, onAccountMinor, paysMinor, detail, obstacle }: AccountDue, currency: CurrencyCode): PayableAccount {
  const [first] = rows;
  return {
    agreementId: first.agreement_id,
    siteId: first.site_id,
    siteCode: first.site_code,
    siteName: first.site_name,
    partyId: first.party_id,
    partyName: first.party_name,
    settlements: rows.map((row) => ({ settlementId: row.settlement_id, number: row.number, open: moneyOf(row.open_minor, currency) })),
    onAccount: moneyOf(onAccountMinor, currency),
    pays: moneyOf(paysMinor, currency),
    account: detail === null ? null : shownAccount(detail),
    obstacle,
  };
}
