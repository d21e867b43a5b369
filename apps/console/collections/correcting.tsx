import type { Collection } from '../api/shapes';
import { locale } from '../format/locale';
import { difference, formatMoney, isZero, type Money } from '../format/money';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

const text = words.entered;

type CashOutOf = Collection['cashOutOf'][number];
type CashWith = CashOutOf['receipts'];

/** Out of whose cash what goes out of a box before it is counted is booked, as the api says. `machineTag`: null where nobody noted whose box it was. */
export function cashOutOf({ cashOutOf: each }: Pick<Collection, 'cashOutOf'>, machineTag: string | null): Omit<CashOutOf, 'machineTag'> {
  const found = each.find((box) => box.machineTag === machineTag) ?? each.find((box) => box.machineTag === null);
  if (found === undefined) throw new Error('the api says of a box that nobody noted, too');
  return found;
}

/** Questions whose answers change with a figure of a collection. */
export const changedByCorrection = [['sites'], ['month-end'], ['cash'], ['variances'], ['settlements']] as const;

/** That somebody else is needed, before anything is typed: whoever entered a figure that is in the books does not correct it. */
export function OwnFigure({ collection, recordedBy }: { readonly collection: Collection; readonly recordedBy: string }) {
  const { account } = useOperator();
  if (collection.state !== 'accepted' || recordedBy !== `user:${account.id}`) return null;
  return <p className="notice">{text.ownFigure}</p>;
}

interface Change {
  readonly collection: Collection;
  readonly takings: Money;
  /** By how much other cash has to be where by the books it is; left out where that is not touched. */
  readonly cash?: readonly { readonly with: CashWith; readonly amount: Money }[];
}

/** What a correction does to the books, in sentences. */
export function effectOf({ collection, takings, cash = [] }: Change): readonly string[] {
  if (collection.state !== 'accepted') return [text.notBookedYet];
  const signed = (money: Money) => formatMoney(money, locale, 'exceptZero');
  return [isZero(takings) ? text.takingsSame : text.takings(signed(takings)), ...cash.flatMap((each) => (isZero(each.amount) ? [] : [text.holds[each.with](signed(each.amount))])), ...(isZero(takings) ? [text.receipt] : [])];
}

/** `now - before`, of amounts of one collection. */
export function changed(now: Money, before: Money): Money {
  const found = difference({ now, before });
  if (found === null) throw new Error('amounts of one collection have one currency');
  return found;
}
