import type { CustodyEvent } from '../../api/shapes';
import type { CustodySide } from '../../api/custody-api';

const sides = ['giver', 'receiver'] as const;

/** Sides of an event that nobody has confirmed yet; none where nobody has to, or where corrections took its place for every copy. */
export function openSides({ acknowledgeBy, acknowledgements, copies }: Pick<CustodyEvent, 'acknowledgeBy' | 'acknowledgements' | 'copies'>): readonly CustodySide[] {
  if (acknowledgeBy === null || copies.every(({ correctedById }) => correctedById !== null)) return [];
  return sides.filter((side) => !acknowledgements.some((each) => each.side === side));
}

export const isConfirmed = (event: CustodyEvent): boolean => openSides(event).length === 0;
