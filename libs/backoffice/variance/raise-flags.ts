import type { TenantTransaction } from '#database/tenant';
import type { Signal } from '#domain/variance/series';
import { insertFlagEvents, insertFlags, selectOpenFlags, selectFigures, type FlagReason } from './flag.sql';

/** What was found at one box of a collection, in one tender. */
export type Finding = {
  readonly collectionId: string;
  readonly placementId: string;
  readonly signals: readonly Signal[];
  readonly average: number;
  readonly outOfTolerance: boolean;
};

/**
 * The moving average alone raises a flag only above its limit, which the sum does not watch; below it is a second opinion
 * that would double the false alarms and find little sooner.
 */
export function reasonsOf({ signals, average, outOfTolerance }: Finding): FlagReason[] {
  const reasons: FlagReason[] = [...(outOfTolerance ? (['tolerance'] as const) : []), ...signals];
  return reasons.some((reason) => reason !== 'moving-average') || average > 0 ? reasons : [];
}

/** One flag for each box with findings; one that is still open gets them added to its history. */
export async function raiseFlags(tx: TenantTransaction, { findings, now, newId }: { readonly findings: readonly Finding[]; readonly now: Date; readonly newId: () => string }): Promise<void> {
  const boxes = new Map<string, { collectionId: string; placementId: string; reasons: Set<FlagReason> }>();
  for (const finding of findings) {
    const reasons = reasonsOf(finding);
    if (reasons.length === 0) continue;
    const { collectionId, placementId } = finding;
    const box = boxes.get(`${collectionId} ${placementId}`) ?? { collectionId, placementId, reasons: new Set() };
    boxes.set(`${collectionId} ${placementId}`, box);
    for (const reason of reasons) box.reasons.add(reason);
  }
  if (boxes.size === 0) return;
  const collectionIds = [...new Set([...boxes.values()].map(({ collectionId }) => collectionId))];
  const open = new Map((await selectOpenFlags(tx, collectionIds)).map((row) => [`${row.collection_id} ${row.placement_id}`, row.id]));
  const figures = await selectFigures(tx, collectionIds);
  const raised = [...boxes].map(([key, box]) => ({ ...box, flagId: open.get(key) ?? newId(), isNew: !open.has(key), figures: figures.get(key) ?? [] }));
  await insertFlags(tx, raised.filter(({ isNew }) => isNew), now);
  await insertFlagEvents(tx, raised.map(({ flagId, reasons, figures: amounts }) => ({ id: newId(), flagId, kind: 'raised' as const, reasons: [...reasons], figures: amounts, cause: null, evidence: null })), now);
}
