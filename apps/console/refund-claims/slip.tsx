import type { RefundClaim } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { words } from '../words/words';

const text = words.refundClaims;

/** A slip as a sentence names it. */
export function slipName({ machineTag, refundedOn, number }: Pick<RefundClaim, 'machineTag' | 'refundedOn' | 'number'>): string {
  return text.slip({ machine: machineTag, day: formatDay(refundedOn, locale), number });
}

/** What became of a slip, in a line. */
export function outcomeOf({ state, takenOver, refused, amount }: RefundClaim): string {
  if (refused !== null) return text.refusedBecause(refused.reason);
  if (takenOver === null) return state === 'open' ? text.waits : text.states[state];
  const said = text.takenOver(formatDay(takenOver.collectedOn, locale));
  return takenOver.amount.amount === amount.amount ? said : `${said}. ${text.countsAs(formatMoney(takenOver.amount, locale))}`;
}
