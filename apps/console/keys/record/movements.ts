import { sidesOfKind } from '#domain/keys/event-sides';
import type { CustodyEvent, KeyHolder, KeyHolding } from '../../api/shapes';

export type Movement = 'issued' | 'returned' | 'handed-over' | 'reported-missing' | 'found' | 'seen' | 'destroyed';
type Where = Pick<KeyHolding['where'], 'state' | 'holder'>;

/** What can be recorded of a copy that is there, the most usual first. */
export function movementsFrom({ state, holder }: Where): readonly Movement[] {
  if (state === 'destroyed') return [];
  if (state === 'missing' || holder === null) return ['found', 'destroyed'];
  return holder.kind === 'store' ? ['issued', 'handed-over', 'seen', 'reported-missing', 'destroyed'] : ['returned', 'handed-over', 'seen', 'reported-missing', 'destroyed'];
}

/** What can have it afterwards; none where the movement ends with nobody. From store to store, and from hand to hand, it is handed over. */
export function receiversOf(movement: Movement, from: Where): readonly KeyHolder['kind'][] {
  if (movement === 'handed-over') return from.holder?.kind === 'store' ? ['store'] : ['person', 'place'];
  const side = sidesOfKind[movement].to;
  if (side === 'none') return [];
  return side === 'store' ? ['store'] : side === 'person-or-place' ? ['person', 'place'] : ['person', 'place', 'store'];
}

/** Whether somebody gives: then it is who has it now. */
export const hasGiver = (movement: Movement): boolean => sidesOfKind[movement].from !== 'none';

/** Whether a copy can be lent by it until some time. */
export const canBeLent = (movement: Movement | CustodyEvent['says']): boolean => movement === 'issued' || movement === 'handed-over';
