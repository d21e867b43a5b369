import type { TenantTransaction } from '#database/tenant';
import { wrongSequence, type Figures } from '#domain/audit-data/sums';
import { selectAcceptedOf, selectBeside, selectFigures } from './audit-file.sql';
import { auditWords, sequenceWords } from './words';

/** Where a file and an accepted one of the same machine next to it cannot both be right; `element`: of the later one of the two. */
export type Misfit = { readonly beside: 'before' | 'after'; readonly element: string; readonly code: string; readonly message: string };

/** What a machine told at a moment. */
export type ToldAt = { readonly machineId: string; readonly at: Date; readonly figures: Figures };

/** Of each file what does not fit the accepted file of its machine before it, and the one after it where it came late. Two statements. */
export async function besideOthers(tx: TenantTransaction, files: readonly ToldAt[]): Promise<Misfit[][]> {
  const beside = await selectBeside(tx, files);
  const figures = await selectFigures(tx, beside.flatMap(({ before_id: before, after_id: after }) => [before ?? [], after ?? []].flat()));
  return files.map((file, place) => {
    const { before_id: beforeId = null, after_id: afterId = null } = beside[place] ?? {};
    const told = (id: string | null): Figures => (id === null ? undefined : figures.get(id)) ?? new Map();
    return [...misfitOf('before', told(beforeId), file.figures), ...misfitOf('after', file.figures, told(afterId))];
  });
}

function misfitOf(beside: Misfit['beside'], earlier: Figures, later: Figures): Misfit[] {
  const wrong = wrongSequence(earlier, later);
  return wrong === null ? [] : [{ beside, ...wrong, message: `${auditWords['does-not-add-up']} ${sequenceWords[beside]}` }];
}

/**
 * Boxes of collections whose accepted file does not fit the one before or after it, as `collection machine`. Whoever counts
 * there accepts a file without being told of it: this is for the one who takes the count into the books.
 */
export async function boxesOfMisfits(tx: TenantTransaction, collectionIds: readonly string[]): Promise<ReadonlySet<string>> {
  const files = await selectAcceptedOf(tx, collectionIds);
  if (files.length === 0) return new Set();
  const figures = await selectFigures(tx, files.map(({ id }) => id));
  const misfits = await besideOthers(tx, files.map(({ id, machine_id: machineId, happened_at: at }) => ({ machineId, at, figures: figures.get(id) ?? new Map() })));
  return new Set(files.flatMap((file, place) => (misfits[place]?.length === 0 ? [] : [`${file.collection_id} ${file.machine_id}`])));
}
