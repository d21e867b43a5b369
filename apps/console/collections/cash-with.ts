import type { BoxCount } from '../api/shapes';

export type CashWith = BoxCount['cashWith'];

type Counted = Pick<BoxCount, 'machineTag' | 'replacesId' | 'late' | 'cashWith'>;

/**
 * Out of whose cash something went before it was counted, as the api books it: of who collected where that box was counted at
 * its machine, or no count says of it and any other was. `machineTag`: null where nobody noted whose box it was; `inBags`: boxes
 * that are still to be counted lie in bags.
 */
export function cashWithOf(counts: readonly Counted[], machineTag: string | null, { inBags = false } = {}): CashWith {
  const first = counts.filter(({ replacesId, late }) => replacesId === null && !late);
  const own = first.filter((count) => count.machineTag === machineTag);
  if (own.length === 0 && inBags && machineTag !== null) return 'counting-room';
  return (own.length > 0 ? own : first).some((count) => count.cashWith === 'collector') ? 'collector' : 'counting-room';
}
