import type { TenantTransaction } from '#database/tenant';
import type { Signal } from '#domain/variance/series';
import { announce } from '../webhook/announce.sql';
import { holdFlags, insertFlagEvents, insertFlags, selectFigures, type FlagReason } from './flag.sql';

/** What was found at one box of a collection, in one tender. */
export type Finding = {
  readonly collectionId: string;
  readonly placementId: string;
  readonly signals: readonly Signal[];
  readonly average: number;
  readonly outOfTolerance: boolean;
  /** Its meters went where they cannot go. */
  readonly implausible: boolean;
  /** Its meters were not read, once too often. */
  readonly notRead: boolean;
  /** Its two counters are further apart than they may be. */
  readonly countersTooFar: boolean;
  /** A meter may have passed all its values once more than its readings tell. */
  readonly roundUnseen: boolean;
};

type FlaggedBox = { readonly collectionId: string; readonly placementId: string };

/**
 * The moving average alone raises a flag only above its limit, which the sum does not watch; below it is a second opinion
 * that would double the false alarms and find little sooner.
 */
export function reasonsOf({ signals, average, outOfTolerance, implausible, notRead, countersTooFar, roundUnseen }: Finding): FlagReason[] {
  const reasons: FlagReason[] = [...(outOfTolerance ? (['tolerance'] as const) : []), ...(implausible ? (['meters-implausible'] as const) : []), ...(notRead ? (['meters-not-read'] as const) : []), ...(countersTooFar ? (['counters-apart'] as const) : []), ...(roundUnseen ? (['round-unseen'] as const) : []), ...signals];
  return reasons.some((reason) => reason !== 'moving-average') || average > 0 ? reasons : [];
}

/**
 * One flag for each box with findings; one that is still open gets them added to its history. Of `changed` boxes, whose
 * figures are not what they were, a flag that was explained stays explained and says so; what is found anew gets a flag of its own.
 */
export async function raiseFlags(
  tx: TenantTransaction,
  { findings, changed, now, newId }: { readonly findings: readonly Finding[]; readonly changed: readonly FlaggedBox[]; readonly now: Date; readonly newId: () => string },
): Promise<void> {
  const boxes = new Map<string, { collectionId: string; placementId: string; reasons: Set<FlagReason> }>();
  for (const finding of findings) {
    const reasons = reasonsOf(finding);
    if (reasons.length === 0) continue;
    const { collectionId, placementId } = finding;
    const box = boxes.get(keyOf(finding)) ?? { collectionId, placementId, reasons: new Set() };
    boxes.set(keyOf(finding), box);
    for (const reason of reasons) box.reasons.add(reason);
  }
  if (boxes.size + changed.length === 0) return;
  const collectionIds = [...new Set([...boxes.values(), ...changed].map(({ collectionId }) => collectionId))];
  const flags = (await holdFlags(tx, collectionIds)).map((row) => ({ ...row, key: `${row.collection_id} ${row.placement_id}` }));
  const open = new Map(flags.filter(({ state }) => state === 'open').map(({ key, id }) => [key, id]));
  const figures = await selectFigures(tx, collectionIds);
  const raised = [...boxes].map(([key, box]) => ({ ...box, flagId: open.get(key) ?? newId(), isNew: !open.has(key), figures: figures.get(key) ?? [] }));
  const changedKeys = new Set(changed.map(keyOf));
  const told = flags.filter(({ key, id }) => changedKeys.has(key) && !raised.some(({ flagId }) => flagId === id));
  await insertFlags(tx, raised.filter(({ isNew }) => isNew), now);
  await announce(tx, { type: 'variance.flagged', told: raised.filter(({ isNew }) => isNew).map(({ flagId }) => ({ subjectId: flagId })), now });
  await insertFlagEvents(
    tx,
    [
      ...told.map(({ id, key }) => ({ id: newId(), flagId: id, kind: 'changed' as const, reasons: [], figures: figures.get(key) ?? [], cause: null, evidence: null })),
      ...raised.map(({ flagId, reasons, figures: amounts }) => ({ id: newId(), flagId, kind: 'raised' as const, reasons: [...reasons], figures: amounts, cause: null, evidence: null })),
    ],
    now,
  );
}

const keyOf = ({ collectionId, placementId }: FlaggedBox): string => `${collectionId} ${placementId}`;
