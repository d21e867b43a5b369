import type { Collection } from '../api/shapes';
import { locale } from '../format/locale';
import { difference, formatMoney, isZero, type Money } from '../format/money';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

const text = words.entered;

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
  /** By how much other cash has to lie in the counting room; left out where that is not touched. */
  readonly room?: Money;
}

/** What a correction does to the books, in sentences. */
export function effectOf({ collection, takings, room }: Change): readonly string[] {
  if (collection.state !== 'accepted') return [text.notBookedYet];
  const signed = (money: Money) => formatMoney(money, locale, 'exceptZero');
  return [isZero(takings) ? text.takingsSame : text.takings(signed(takings)), ...(room === undefined || isZero(room) ? [] : [text.roomHolds(signed(room))]), ...(isZero(takings) ? [text.receipt] : [])];
}

/** `now - before`, of amounts of one collection. */
export function changed(now: Money, before: Money): Money {
  const found = difference({ now, before });
  if (found === null) throw new Error('amounts of one collection have one currency');
  return found;
}
