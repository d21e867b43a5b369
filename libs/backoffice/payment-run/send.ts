import { refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { CancelPaymentRun, PaymentRun, PaymentRunState, SendPaymentRun } from '#contracts/payment-run';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { presentOperator } from '../operator/operator.sql';
import { changeRun } from './change-run';
import { updateCancelled, updateSent } from './payment-run.sql';
import { sayNotPaid } from './refused-by-bank';

/**
 * Notes that the bank has the file. That is a fact, whatever has changed since: what it pays was looked at when the file was
 * downloaded. From now on the run ends only by what the bank did: it paid, or it refused the file.
 */
export function sendPaymentRun(deps: Backoffice, caller: Caller, command: { readonly id: string } & SendPaymentRun): Promise<Outcome<PaymentRun>> {
  return changeRun(deps, caller, { id: command.id, action: 'payment-run.confirm', from: ['file-made'], checked: false }, async ({ tx, now }, row) => {
    if (row.downloaded_at === null) return refused('wrong-state', { detail: 'Nobody has downloaded the file, so the bank cannot have it.' });
    const today = localDay({ instant: now, timeZone: (await presentOperator(tx)).time_zone });
    if (today === null || command.sentOn > today) return refusedFields('invalid-command', [{ path: ['sentOn'], code: 'in-the-future', message: 'Only what the bank has is confirmed.' }]);
    await updateSent(tx, { id: row.id, sentOn: command.sentOn, now });
    return null;
  });
}

/** Gives a run up that the bank does not have, or whose file it refused. Its settlements can be paid by another one. */
export function cancelPaymentRun(deps: Backoffice, caller: Caller, command: { readonly id: string } & CancelPaymentRun): Promise<Outcome<PaymentRun>> {
  const from: readonly PaymentRunState[] = command.refusedByBank === true ? ['sent'] : ['draft', 'file-made'];
  return changeRun(deps, caller, { id: command.id, action: 'payment-run.make', from, checked: false }, async ({ tx, now }, row) => {
    const said = await sayNotPaid(tx, row, now);
    if (!said.ok) return said;
    await updateCancelled(tx, { id: row.id, reason: command.reason, now });
    return null;
  });
}
