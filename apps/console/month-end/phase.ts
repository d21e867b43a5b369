import type { Close } from '../api/shapes';

type Progress = Close['progress'];

/** What the work in the background is at, as far as its figures tell; null when only that it works is certain. */
export type Phase = { readonly at: 'settling' | 'statements'; readonly done: number; readonly total: number } | null;

/** `due`: agreements that can be settled, which leaves out those whose collections are missing. */
export function phaseOf({ settled, reviewed, numbered, issued, failed }: Progress, due: number): Phase {
  const allReviewed = settled === reviewed && reviewed > issued;
  if (numbered > issued || allReviewed) return { at: 'statements', done: issued, total: reviewed };
  if (reviewed === 0) return { at: 'settling', done: Math.min(settled + failed, due), total: due };
  return null;
}
