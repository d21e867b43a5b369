/**
 * What custody means, told as simply as it can be: a list of everything that was taken down, and for each moment the last
 * thing that happened before it. No intervals, no sorting, nothing derived is kept. Tests hold the books against it.
 */

export type Says = 'made' | 'issued' | 'returned' | 'handed-over' | 'reported-missing' | 'found' | 'destroyed' | 'seen';

/** Who can have a copy. `site`: employed by a site, or a place there. */
export type Party = { readonly name: string; readonly kind: 'store' | 'person' | 'place'; readonly site: boolean };

export type Taken = {
  readonly id: string;
  readonly copy: number;
  readonly says: Says | null;
  readonly corrects: string | null;
  readonly at: number;
  readonly known: number;
  readonly by: number;
  readonly from: Party | null;
  readonly to: Party | null;
};

export type Attempt = Omit<Taken, 'id' | 'known'>;

/** `nowhere`, `missing`, `destroyed`, or the name of who has it, as the books knew it. */
export function whereAt(taken: readonly Taken[], copy: number, moment: { at: number; known: number }): string {
  const standing = standingOf(taken, copy, moment.known).filter(({ at }) => at <= moment.at);
  const last = standing.reduce<Taken | null>((latest, each) => (latest === null || each.at > latest.at ? each : latest), null);
  if (last === null) return 'nowhere';
  return last.says === 'reported-missing' ? 'missing' : last.says === 'destroyed' ? 'destroyed' : (last.to?.name ?? '');
}

function standingOf(taken: readonly Taken[], copy: number, known: number): Taken[] {
  const ofCopy = taken.filter((each) => each.copy === copy && each.known <= known);
  return ofCopy.filter((each) => each.says !== null && ofCopy.every(({ corrects }) => corrects !== each.id));
}

/** Whether the books take it, by each rule in turn. From `directFrom` on the operator's own people may hand cash-box keys to each other. */
export function takes(taken: readonly Taken[], attempt: Attempt, of: { cashBox: boolean; now: number; directFrom: number }): boolean {
  const corrected = attempt.corrects === null ? null : (taken.find(({ id }) => id === attempt.corrects) ?? null);
  if (corrected !== null && (taken.some(({ corrects, copy }) => corrects === corrected.id && copy === attempt.copy) || corrected.by === attempt.by)) return false;
  if (attempt.at > of.now) return false;
  const isNew = attempt.corrects === null;
  const gives = attempt.says === 'issued' || attempt.says === 'returned' || attempt.says === 'handed-over';
  if (gives && attempt.from?.name === attempt.to?.name) return false;
  if (isNew && of.cashBox && attempt.to?.site === true && (attempt.says === 'issued' || attempt.says === 'handed-over')) return false;
  const isDirect = of.cashBox && attempt.says === 'handed-over' && attempt.from?.kind !== 'store';
  if (isNew && isDirect && (attempt.at < of.directFrom || attempt.from?.site === true)) return false;
  const after = [...taken, { ...attempt, id: 'attempt', known: Infinity }];
  return isHistory(after, attempt.copy) && (attempt.from === null || whereAt(after, attempt.copy, { at: attempt.at - 1, known: Infinity }) === attempt.from.name);
}

/** One copy is made once, first; two things never happen at one moment; what is missing is found or destroyed next; nothing follows the end. */
function isHistory(taken: readonly Taken[], copy: number): boolean {
  const all = standingOf(taken, copy, Infinity);
  const made = all.filter(({ says }) => says === 'made');
  if (made.length !== 1 || new Set(all.map(({ at }) => at)).size !== all.length) return false;
  return all.every((each) => {
    const before = whereAt(taken, copy, { at: each.at - 1, known: Infinity });
    if (each.says === 'made') return before === 'nowhere';
    if (before === 'nowhere' || before === 'destroyed') return false;
    return before === 'missing' ? each.says === 'found' || each.says === 'destroyed' : each.says !== 'found';
  });
}
