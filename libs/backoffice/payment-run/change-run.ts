import { moneyOf } from '#contracts/money';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { PaymentRun, PaymentRunState } from '#contracts/payment-run';
import type { TenantTransaction } from '#database/tenant';
import type { Action } from '#domain/permissions/table';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform, type Unit } from '../perform';
import { accountKey, accountsDue } from './payables';
import { lockRuns, presentRun, selectRun, selectTransfers, type PaymentRunRow } from './payment-run.sql';
import { toPaymentRun } from './to-payment-run';

/**
 * Changes a run that is in one of these states. `checked`: what it pays, and the accounts that it pays to, must still be what
 * they were when it was drafted.
 */
export function changeRun(
  deps: Backoffice,
  caller: Caller,
  asked: { readonly id: string; readonly action: Action; readonly from: readonly PaymentRunState[]; readonly checked: boolean },
  work: (unit: Unit, row: PaymentRunRow) => Promise<Outcome<never> | null>,
): Promise<Outcome<PaymentRun>> {
  return perform<PaymentRun>(deps, caller, asked.action, async (unit) => {
    const { tx } = unit;
    if ((await selectRun(tx, asked.id)) === null) return refused('not-found');
    await lockRuns(tx);
    const row = await presentRun(tx, asked.id);
    if (!asked.from.includes(row.state)) return refused('wrong-state', { detail: `The run is ${row.state}; it would have to be ${asked.from.join(' or ')}.` });
    const changed = asked.checked ? await whatChanged(tx, row) : null;
    if (changed !== null) return refused('wrong-state', { detail: `${changed} Cancel this run and draft another one.` });
    const refusedNow = await work(unit, row);
    if (refusedNow !== null) return refusedNow;
    return done(await toPaymentRun(tx, await presentRun(tx, asked.id)));
  });
}

/** The first thing that is no longer as it was drafted, in words, or null. */
export async function whatChanged(tx: TenantTransaction, row: PaymentRunRow): Promise<string | null> {
  const { accounts, from } = await accountsDue(tx, { currency: row.currency, runId: row.id });
  if (from?.id !== row.from_detail_id) return 'The account that is paid from is no longer the one in force.';
  const dueNow = new Map(accounts.map((account) => [accountKey(account.rows[0]), account]));
  for (const transfer of await selectTransfers(tx, row.id)) {
    const due = dueNow.get(accountKey(transfer));
    const pays = moneyOf(due?.paysMinor ?? 0n, row.currency);
    if (due?.paysMinor !== transfer.amount_minor) return `Due to ${transfer.party_name} at site ${transfer.site_code} are ${pays.amount} ${pays.currency} now.`;
    if (due.detail?.id !== transfer.bank_detail_id) return `The bank account of ${transfer.party_name} is no longer the one in force.`;
  }
  return null;
}
