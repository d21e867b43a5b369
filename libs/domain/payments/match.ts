/**
 * Which open items a payment settles: those that it names, else the oldest first. Amounts here are of one side, so always
 * above zero: what the operator owes a payee, or what a payee owes the operator, in minor units of one currency.
 */
import type { LocalDate } from '#domain/calendar/local-date';
import { divideHalfUp } from '#domain/money/rounding';

export interface ItemToPay {
  readonly id: string;
  /** What is not paid yet; above zero. */
  readonly openMinor: bigint;
  readonly datedOn: LocalDate;
  /** Disputed, and not to be paid until it is released. */
  readonly held: boolean;
}

/** An item that the payment names; without an amount all of it that is open, as far as the money goes. */
export interface NamedItem {
  readonly id: string;
  readonly amountMinor: bigint | null;
}

export interface PaymentToMatch {
  /** What changes hands; above zero. */
  readonly paidMinor: bigint;
  /** Null: the oldest first. */
  readonly named: readonly NamedItem[] | null;
  readonly items: readonly ItemToPay[];
  /** The coin that cash is rounded to; null where the payment is not in cash, or in any coin. */
  readonly smallestCoinMinor: bigint | null;
}

export type MatchProblemCode =
  | 'not-payable-in-coins'
  | 'item-unknown'
  | 'item-named-twice'
  | 'item-settled'
  | 'item-held'
  | 'larger-than-open'
  | 'nothing-due'
  | 'larger-than-due'
  | 'does-not-add-up';

/** `index`: the place of the named item that it is about. `dueMinor`: what would have been right, rounded to coins in cash. */
export interface MatchProblem {
  readonly code: MatchProblemCode;
  readonly index: number | null;
  readonly dueMinor: bigint | null;
}

export interface Match {
  readonly itemId: string;
  readonly amountMinor: bigint;
}

/** `settledMinor`: what the payment settles. Cash that pays all that is due to the nearest coin settles all of it. */
export type Matched =
  | { readonly ok: true; readonly settledMinor: bigint; readonly matches: readonly Match[] }
  | { readonly ok: false; readonly problem: MatchProblem };

/**
 * Matches a payment. A payment larger than what is due is refused: money beyond it is a payment on account, which somebody
 * must mean. Cash is rounded half-up to the smallest coin, the payable is not; the difference is settled with it.
 */
export function matchPayment(payment: PaymentToMatch): Matched {
  const { paidMinor, smallestCoinMinor: coin } = payment;
  if (coin !== null && paidMinor % coin !== 0n) return refusal('not-payable-in-coins', null, inCoins(paidMinor, coin));
  const wanted = payment.named === null ? oldestFirst(payment.items) : namedItems(payment.named, payment.items);
  if (!wanted.ok) return wanted;
  const dueMinor = wanted.matches.reduce((sum, { amountMinor }) => sum + amountMinor, 0n);
  const toPayMinor = coin === null ? dueMinor : inCoins(dueMinor, coin);
  if (dueMinor === 0n) return refusal('nothing-due', null, 0n);
  if (paidMinor === toPayMinor) return { ok: true, settledMinor: dueMinor, matches: wanted.matches };
  if (paidMinor > toPayMinor) return refusal('larger-than-due', null, toPayMinor);
  if (payment.named?.some(({ amountMinor }) => amountMinor !== null) === true) return refusal('does-not-add-up', null, toPayMinor);
  return { ok: true, settledMinor: paidMinor, matches: asFarAsItGoes(paidMinor, wanted.matches) };
}

type Wanted = { readonly ok: true; readonly matches: readonly Match[] } | { readonly ok: false; readonly problem: MatchProblem };

function oldestFirst(items: readonly ItemToPay[]): Wanted {
  const payable = items.filter((item) => !item.held && item.openMinor > 0n);
  const matches = [...payable].sort(byAge).map((item) => ({ itemId: item.id, amountMinor: item.openMinor }));
  return { ok: true, matches };
}

function namedItems(named: readonly NamedItem[], items: readonly ItemToPay[]): Wanted {
  const byId = new Map(items.map((item) => [item.id, item]));
  const matches: Match[] = [];
  for (const [index, { id, amountMinor }] of named.entries()) {
    const item = byId.get(id);
    if (item === undefined) return refusal('item-unknown', index, null);
    if (matches.some((match) => match.itemId === id)) return refusal('item-named-twice', index, null);
    if (item.held) return refusal('item-held', index, null);
    if (item.openMinor <= 0n) return refusal('item-settled', index, 0n);
    if (amountMinor !== null && amountMinor > item.openMinor) return refusal('larger-than-open', index, item.openMinor);
    matches.push({ itemId: id, amountMinor: amountMinor ?? item.openMinor });
  }
  return { ok: true, matches };
}

function asFarAsItGoes(paidMinor: bigint, wanted: readonly Match[]): Match[] {
  let leftMinor = paidMinor;
  return wanted.flatMap(({ itemId, amountMinor }) => {
    const takenMinor = amountMinor < leftMinor ? amountMinor : leftMinor;
    leftMinor -= takenMinor;
    return takenMinor === 0n ? [] : [{ itemId, amountMinor: takenMinor }];
  });
}

function inCoins(amountMinor: bigint, coin: bigint): bigint {
  return divideHalfUp({ dividend: amountMinor, divisor: coin }) * coin;
}

function byAge(first: ItemToPay, second: ItemToPay): number {
  if (first.datedOn !== second.datedOn) return first.datedOn < second.datedOn ? -1 : 1;
  return first.id < second.id ? -1 : 1;
}

function refusal(code: MatchProblemCode, index: number | null, dueMinor: bigint | null): { readonly ok: false; readonly problem: MatchProblem } {
  return { ok: false, problem: { code, index, dueMinor } };
}
