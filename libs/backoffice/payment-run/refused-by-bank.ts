import { done, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { permissions, type Row } from '#domain/permissions/table';
import { selectMembers } from '../identity/member.sql';
import { isDoneAlone, personBehind } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import type { PaymentRunRow } from './payment-run.sql';

/**
 * Whether somebody may say that the bank will not pay what a file holds. Once the file has left the house, that takes a
 * second person, neither the one who downloaded it nor the one who confirmed that the bank has it: by saying so of a file
 * that the bank will pay, one person could have everything paid twice. Where these two are all who make payment runs, the
 * one who did not download it says so, and in a business of one the only one; both are labelled.
 */
export async function sayNotPaid(tx: TenantTransaction, row: PaymentRunRow, now: Date): Promise<Outcome<null>> {
  const recordedBy = [row.downloaded_by, row.sent_by].flatMap((by) => by ?? []);
  const detail = 'You downloaded its file or confirmed that the bank has it. Somebody else makes sure that the bank will not pay, and says so.';
  const alone = (await isLeftToSender(tx, row)) ? done(true) : await isDoneAlone(tx, { recordedBy, now, detail });
  if (!alone.ok) return alone;
  if (alone.value) await labelRelaxed(tx, { recordId: row.id, rule: 'second-person', kind: 'payment-run', now });
  return done(null);
}

/** Whether the one who acts confirmed that the bank has the file, another one downloaded it, and nobody else makes payment runs. */
async function isLeftToSender(tx: TenantTransaction, { downloaded_by: downloadedBy, sent_by: sentBy }: PaymentRunRow): Promise<boolean> {
  if (downloadedBy === null || sentBy === null || downloadedBy === sentBy || (await personBehind(tx, tx.actor)) !== sentBy) return false;
  const { grants }: Row = permissions['payment-run.make'];
  return (await selectMembers(tx)).every(({ account_id: id, role }) => grants[role] === undefined || [downloadedBy, sentBy].includes(`user:${id}`));
}
