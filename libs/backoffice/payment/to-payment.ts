import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import type { Payment, PaymentState } from '#contracts/payment';
import type { TenantTransaction } from '#database/tenant';
import { groupBy } from '../settlement/inputs/group-by';
import { readMatches, type MatchRow, type PaymentRow } from './payment.sql';

export function stateOf(row: PaymentRow): PaymentState {
  if (row.returned_on !== null) return 'returned';
  if (row.kind === 'on-account') return row.set_off_id === null ? 'on-account' : 'set-off';
  if (row.matched_minor === 0n) return 'unmatched';
  return row.matched_minor === row.amount_minor ? 'matched' : 'partly-matched';
}

/** What of a payment settles nothing; a returned one has nothing left, and one on account is set off as a whole. */
export function unmatchedMinorOf(row: PaymentRow): bigint {
  return row.kind === 'on-account' || row.returned_on !== null ? 0n : row.amount_minor - row.matched_minor;
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
  const matches = groupBy(await readMatches(tx, rows.map((row) => row.id)), (match) => match.payment_id);
  return rows.map((row) => paymentBody(row, matches.get(row.id) ?? [], reader));
}

function paymentBody(row: PaymentRow, matches: readonly MatchRow[], reader: Reader): Payment {
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
    method: row.method,
    reference: row.reference,
    paidOn: row.paid_on,
    accountingDate: row.accounting_date,
    state: stateOf(row),
    matches: standingMatches(matches).map(({ row: match, amountMinor }) => ({
      openItemId: match.open_item_id,
      settlementId: match.settlement_id,
      number: match.number,
      amount: money(amountMinor),
    })),
    setOffIn: row.set_off_id === null || row.set_off_number === null ? null : { settlementId: row.set_off_id, number: row.set_off_number },
    history: historyOf(row, matches, { money, reader }),
  };
}

function historyOf(row: PaymentRow, matches: readonly MatchRow[], show: { money: (minor: bigint) => Payment['amount']; reader: Reader }): Payment['history'] {
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
  if (row.returned_on === null || row.return_recorded_at === null) return [recorded, ...ofMatches];
  const returned: Payment['history'][number] = {
    kind: 'returned',
    number: null,
    amount: money(row.paid_minor),
    on: row.returned_on,
    note: note(row.return_reason),
    happenedAt: formatInstant(row.return_recorded_at),
    happenedBy: by(row.return_recorded_by ?? ''),
  };
  return [recorded, ...ofMatches, returned];
}
