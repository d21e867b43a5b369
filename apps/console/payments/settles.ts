import { localDate } from '#domain/calendar/local-date';
import { matchPayment } from '#domain/payments/match';
import { moneyOf, unitsOf, type Money } from '../format/money';

interface Item {
  readonly number: string;
  readonly settlementId: string;
  readonly datedOn: string;
  /** Negative where the payee owes it. */
  readonly open: Money;
}

interface Paying {
  readonly paid: Money;
  /** In the order in which they are paid. */
  readonly items: readonly Item[];
  /** The coin to which cash is rounded; null where nothing is. */
  readonly coin: Money | null;
}

export interface Part {
  readonly item: Item;
  readonly pays: Money;
  /** What stays open of it. */
  readonly rest: Money;
}

export type Settles =
  | { readonly ok: true; readonly parts: readonly Part[]; /** All of it together; in cash it may differ from what is paid. */ readonly settled: Money }
  /** With what could be paid instead. */
  | { readonly ok: false; readonly code: 'too-much' | 'not-in-coins'; readonly instead: Money };

/** What a payment does to the items that are chosen: by the same rule as the books, so that it is no guess. */
export function settles({ paid, items, coin }: Paying): Settles {
  const digits = paid.amount.split('.')[1]?.length ?? 0;
  const money = (units: bigint): Money => moneyOf({ units, digits, currency: paid.currency });
  const matched = matchPayment({
    paidMinor: unitsOf(paid),
    named: items.map(({ settlementId }) => ({ id: settlementId, amountMinor: null })),
    items: items.map(({ settlementId, open, datedOn }) => ({ id: settlementId, openMinor: sizeOf(open), datedOn: localDate(datedOn), held: false })),
    smallestCoinMinor: coin === null ? null : unitsOf(coin),
  });
  if (!matched.ok) return { ok: false, code: matched.problem.code === 'not-payable-in-coins' ? 'not-in-coins' : 'too-much', instead: money(matched.problem.dueMinor ?? 0n) };
  const parts = matched.matches.flatMap(({ itemId, amountMinor }): Part[] => {
    const item = items.find(({ settlementId }) => settlementId === itemId);
    return item === undefined ? [] : [{ item, pays: money(amountMinor), rest: money(sizeOf(item.open) - amountMinor) }];
  });
  return { ok: true, parts, settled: money(matched.settledMinor) };
}

function sizeOf(money: Money): bigint {
  const units = unitsOf(money);
  return units < 0n ? -units : units;
}
