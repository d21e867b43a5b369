import { moneyOf, unitsOf, type Money } from '../format/money';

interface Item {
  readonly number: string;
  readonly settlementId: string;
  /** Negative where the payee owes it. */
  readonly open: Money;
}

export interface Part {
  readonly item: Item;
  readonly pays: Money;
  /** What stays open of it. */
  readonly rest: Money;
}

/** What a payment does to the items that are named, in their order and as far as the money goes: as the books do it. */
export function allocate({ paid, items }: { paid: Money; items: readonly Item[] }): { parts: Part[]; over: Money } {
  const digits = paid.amount.split('.')[1]?.length ?? 0;
  const money = (units: bigint): Money => moneyOf({ units, digits, currency: paid.currency });
  let left = unitsOf(paid);
  const parts: Part[] = [];
  for (const item of items) {
    const open = sizeOf(item.open);
    const pays = left < open ? left : open;
    if (pays > 0n) parts.push({ item, pays: money(pays), rest: money(open - pays) });
    left -= pays;
  }
  return { parts, over: money(left) };
}

function sizeOf(money: Money): bigint {
  const units = unitsOf(money);
  return units < 0n ? -units : units;
}
