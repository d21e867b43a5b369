import { moneyOf, toAmount, type Money } from '#contracts/money';
import { done, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { RecordPayment } from '#contracts/payment';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { matchPayment, type Match, type MatchProblem, type MatchProblemCode, type NamedItem } from '#domain/payments/match';
import { readAccountItems, type OpenItemRow } from '../open-item/open-item.sql';
import { openMinorOf } from '../open-item/to-open-item';

/** Settlements that a request names, in its order. */
export type NamedSettlements = NonNullable<RecordPayment['settlements']>;

export type ToMatch = {
  readonly agreementId: string;
  readonly partyId: string;
  readonly currency: CurrencyCode;
  /** 1n: to the payee; -1n: from it. */
  readonly sign: 1n | -1n;
  readonly paidMinor: bigint;
  readonly settlements: NamedSettlements | undefined;
  readonly smallestCoinMinor: bigint | null;
  /** Day under which the books have the payment: it settles nothing that is younger. */
  readonly accountingDate: LocalDate;
  /** `refuse`: a payment is not larger than what is due; `leave`: what is over stays unmatched. */
  readonly over: 'refuse' | 'leave';
};

export type MatchedItems = { readonly settledMinor: bigint; readonly matches: readonly Match[] };

const messages: { readonly [code in MatchProblemCode]: (due: string) => string } = {
  'not-payable-in-coins': (due) => `Cash is paid in whole coins here; the nearest amount is ${due}.`,
  'item-unknown': () => 'The payee has nothing to be paid from this settlement.',
  'item-named-twice': () => 'The settlement is named twice.',
  'item-settled': () => 'Nothing of this settlement is open.',
  'item-held': () => 'It is held as disputed: release it first.',
  'larger-than-open': (due) => `More than is open of this settlement, which is ${due}.`,
  'nothing-due': () => 'Nothing is due to be paid. Money that is paid all the same is a payment on account: record it as one.',
  'larger-than-due': (due) => `Larger than what is due, which is ${due}. What is paid beyond it is a payment on account: record that part as one of its own.`,
  'does-not-add-up': (due) => `The amounts of the settlements come to ${due}.`,
};

/** Finds what a payment settles, or says which field of the request is wrong. The caller holds the account's lock. */
export async function matchedItems(tx: TenantTransaction, payment: ToMatch): Promise<Outcome<MatchedItems>> {
  const { sign, settlements } = payment;
  const rows = (await readAccountItems(tx, payment)).filter((row) => row.amount_minor * sign > 0n && !row.reversed);
  const items = rows.map((row) => ({ id: row.id, openMinor: openMinorOf(row) * sign, datedOn: row.dated_on, held: row.held }));
  const named = settlements === undefined ? null : namedItems(settlements, rows);
  const asked = { paidMinor: payment.paidMinor, named, items, smallestCoinMinor: payment.smallestCoinMinor };
  let matched = matchPayment(asked);
  if (!matched.ok && matched.problem.code === 'larger-than-due' && payment.over === 'leave') {
    matched = matchPayment({ ...asked, paidMinor: matched.problem.dueMinor ?? 0n });
  }
  if (!matched.ok) return refusedFields('invalid-command', [wrongField(matched.problem, payment)]);
  const { settledMinor, matches } = matched;
  const younger = rows.find((row) => row.dated_on > payment.accountingDate && matches.some(({ itemId }) => itemId === row.id));
  if (younger !== undefined) {
    const message = `Statement ${younger.number} is in the books from ${younger.dated_on} on; a payment of it is not older.`;
    return refusedFields('invalid-command', [{ path: ['paidOn'], code: 'before-item', message }]);
  }
  return done({ settledMinor, matches });
}

/** An item that is not there gets an id that no item has, so that it is refused by its place. */
function namedItems(settlements: NamedSettlements, rows: readonly OpenItemRow[]): NamedItem[] {
  const bySettlement = new Map(rows.map((row) => [row.settlement_id, row.id]));
  return settlements.map(({ settlementId, amount }) => ({
    id: bySettlement.get(settlementId) ?? settlementId,
    amountMinor: amount === undefined ? null : toAmount(amount).minor,
  }));
}

function wrongField(problem: MatchProblem, payment: ToMatch): WrongField {
  const due: Money | null = problem.dueMinor === null ? null : moneyOf(problem.dueMinor, payment.currency);
  const message = messages[problem.code](due === null ? '' : `${due.amount} ${due.currency}`);
  if (problem.index === null) return { path: payment.over === 'leave' ? ['settlements'] : ['amount'], code: problem.code, message };
  const field = problem.code === 'larger-than-open' ? 'amount' : 'settlementId';
  return { path: ['settlements', problem.index, field], code: problem.code, message };
}
