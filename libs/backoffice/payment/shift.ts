import type { LocalDate } from '#domain/calendar/local-date';
import { paymentShifted } from '#domain/journal/entries';
import type { EntryPosting } from '#domain/journal/types';
import type { Backoffice } from '../dependencies';
import { postEntries } from '../journal/post';
import type { Unit } from '../perform';
import type { PaymentRow } from './payment.sql';
import { insertShift } from './shift.sql';

/** Moves a part of a payment between what is owed and what is on account: of the payment's sign on to it, against it off it. */
export async function shift(
  deps: Pick<Backoffice, 'newId'>,
  { tx, now }: Unit,
  moved: { row: PaymentRow; amountMinor: bigint; accountingDate: LocalDate; note: string | null },
): Promise<void> {
  const { row, amountMinor, accountingDate, note } = moved;
  const id = deps.newId();
  await insertShift(tx, { id, payment_id: row.id, amount_minor: amountMinor, accounting_date: accountingDate, note, recorded_at: now });
  const head = { id: deps.newId(), date: accountingDate, currency: row.currency, sourceId: id };
  await postEntries(tx, { entries: [paymentShifted(head, { party: row.party_id, amountMinor })], recordedAt: now });
}

/** What takes back every shift of a payment, for the entry of its return. */
export function shiftsTakenBack(row: PaymentRow): EntryPosting[] {
  const shiftedMinor = row.on_account_minor - (row.kind === 'on-account' ? row.amount_minor : 0n);
  if (shiftedMinor === 0n) return [];
  return [
    { account: { code: 'payable-to-payee', holderId: row.party_id }, amountMinor: shiftedMinor },
    { account: { code: 'cash-handed', holderId: row.party_id }, amountMinor: -shiftedMinor },
  ];
}
