import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import type { Payment, PaymentState } from '#contracts/payment';
import type { TenantTransaction } from '#database/tenant';
import { groupBy } from '../settlement/inputs/group-by';
import { readMatches, type MatchRow, type PaymentRow } from './payment.sql';
import { readShifts, type ShiftRow } from './shift.sql';

export function stateOf(row: PaymentRow): PaymentState {
  if (row.returned_on !== null) return 'returned';
  if (row.on_account_minor === row.amount_minor) return row.set_off_id === null ? 'on-account' : 'set-off';
  if (row.matched_minor === 0n) return 'unmatched';
  return row.matched_minor === row.amount_minor ? 'matched' : 'partly-matched';
}

/** What of a payment settles nothing and is not on account; a returned one has nothing left. */
export function unmatchedMinorOf(row: PaymentRow): bigint {
  return row.returned_on !== null ? 0n : row.amount_minor - row.matched_minor - row.on_account_minor;
}

/** What is matched with each item now, of the sign of the payment. */
export function standingMatches(matches: readonly MatchRow[]): { row: MatchRow; amountMinor: bigint }[] {
  return [...groupBy(matches, (match) => match.open_item_id).values()].flatMap((ofItem) => {
    const amountMinor = ofItem.reduce((sum, { amount_minor: minor }) => sum + minor, 0n);
    const [row] = ofItem;
    return row === undefined || amountMinor === 0n ? [] : [{ row, amountMinor }];
  });
}

type Reader = { readonly ownSites: boolean };

/** Payments as the API shows them, amounts without the sign of their direction. Notes and names of staff stay in the office. */
export async function paymentBodies(tx: TenantTransaction, rows: readonly PaymentRow[], reader: Reader): Promise<Payment[]> {
  const ids = rows.map((row) => row.id);
  const matches = groupBy(await readMatches(tx, ids), (match) => match.payment_id);
  const shifts = groupBy(await readShifts(tx, ids), (shift) => shift.payment_id);
  return rows.map((row) => paymentBody(row, { matches: matches.get(row.id) ?? [], shifts: shifts.get(row.id) ?? [] }, reader));
}

type Happened = { readonly matches: readonly MatchRow[]; readonly shifts: readonly ShiftRow[] };

function paymentBody(row: PaymentRow, happened: Happened, reader: Reader): Payment {
  const sign = row.amount_minor < 0n ? -1n : 1n;
  const money = (minor: bigint): Payment['amount'] => moneyOf(minor * sign, row.currency);
  return {
    id: row.id,
    kind: row.kind,
    direction: sign === 1n ? 'to-payee' : 'from-payee',
    agreementId: row.agreement_id,
    siteId: row.site_id,
    siteCode: row.site_code,
    siteName: row.site_name,
    partyId: row.party_id,
    partyName: row.party_name,
    amount: money(row.paid_minor),
    settles: money(row.amount_minor),
    unmatched: money(unmatchedMinorOf(row)),
    onAccount: money(row.returned_on === null ? row.on_account_minor : 0n),
    method: row.method,
    reference: row.reference,
    paidOn: row.paid_on,
    accountingDate: row.accounting_date,
    state: stateOf(row),
    matches: standingMatches(happened.matches).map(({ row: match, amountMinor }) => ({
      openItemId: match.open_item_id,
      settlementId: match.settlement_id,
      number: match.number,
      amount: money(amountMinor),
    })),
    setOffIn: row.set_off_id === null || row.set_off_number === null ? null : { settlementId: row.set_off_id, number: row.set_off_number },
    run: reader.ownSites || row.run_id === null || row.run_execute_on === null ? null : { id: row.run_id, executeOn: row.run_execute_on },
    history: historyOf(row, happened, { money, reader }),
  };
}

function historyOf(row: PaymentRow, { matches, shifts }: Happened, show: { money: (minor: bigint) => Payment['amount']; reader: Reader }): Payment['history'] {
  const { money, reader } = show;
  const by = (actor: string): string => (reader.ownSites ? 'operator' : actor);
  const note = (text: string | null): string | null => (reader.ownSites ? null : text);
  const recorded: Payment['history'][number] = {
    kind: 'recorded',
    number: null,
    amount: money(row.paid_minor),
    on: row.paid_on,
    note: null,
    happenedAt: formatInstant(row.recorded_at),
    happenedBy: by(row.recorded_by),
  };
  const ofMatches = matches
    .filter(({ kind }) => kind !== 'returned')
    .map((match): Payment['history'][number] => ({
      kind: match.kind,
      number: match.number,
      amount: money(match.kind === 'matched' ? match.amount_minor : -match.amount_minor),
      on: match.accounting_date,
      note: note(match.note),
      happenedAt: formatInstant(match.recorded_at),
      happenedBy: by(match.recorded_by),
    }));
  const isPutOn = ({ amount_minor: minor }: ShiftRow): boolean => minor > 0n === row.amount_minor > 0n;
  const ofShifts = shifts.map((shift): Payment['history'][number] => ({
    kind: isPutOn(shift) ? 'put-on-account' : 'taken-off-account',
    number: null,
    amount: money(isPutOn(shift) ? shift.amount_minor : -shift.amount_minor),
    on: shift.accounting_date,
    note: note(shift.note),
    happenedAt: formatInstant(shift.recorded_at),
    happenedBy: by(shift.recorded_by),
  }));
  // Taken off account and matched in one step: off comes first.
  const between = [...ofShifts, ...ofMatches].sort((left, right) => Date.parse(left.happenedAt) - Date.parse(right.happenedAt));
  if (row.returned_on === null || row.return_recorded_at === null) return [recorded, ...between];
  const returned: Payment['history'][number] = {
    kind: 'returned',
    number: null,
    amount: money(row.paid_minor),
    on: row.returned_on,
    note: note(row.return_reason),
    happenedAt: formatInstant(row.return_recorded_at),
    happenedBy: by(row.return_recorded_by ?? ''),
  };
  return [recorded, ...between, returned];
}
