import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { VarianceFlagDetail } from '#contracts/variance';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import { refusedWhileSealed } from '../collection/blind';
import { eventsBetween, reportedBetween } from '../machine-report/witness';
import { selectUnread } from '../meter/not-read.sql';
import { openersSinceLastCollection, readChecks } from '../collection-key/check';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { readCompared } from './compared';
import { selectFlag, selectFlagEvents, type FlagRow } from './flag.sql';
import { toFigures, toFlag } from './to-flag';

/** A flag with its history, and who could have opened the box since it was last emptied. */
export async function readFlag(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<VarianceFlagDetail>> {
  return perform(deps, caller, 'variance.read', async (unit) => {
    const { tx, now } = unit;
    const row = await selectFlag(tx, query.id);
    if (row === null) return refused('not-found');
    return (await refusedWhileSealed(unit, caller, [row.site_id])) ?? done(await showFlag(tx, row, now));
  });
}

export async function showFlag(tx: TenantTransaction, row: FlagRow, now: Date): Promise<VarianceFlagDetail> {
  const box = { machineId: row.machine_id, placementId: row.placement_id, collectionId: row.collection_id };
  const events = await selectFlagEvents(tx, row.id);
  const openers = await openersSinceLastCollection(tx, { collectionId: row.collection_id, machineId: row.machine_id, knownAt: now });
  const [keyCheck] = await readChecks(tx, { collectionId: row.collection_id });
  return {
    flag: toFlag(row),
    history: events.map((event) => ({
      kind: event.kind,
      reasons: event.reasons,
      figures: toFigures(event.figures, row.currency),
      cause: event.cause,
      evidence: event.evidence,
      happenedAt: formatInstant(event.happened_at),
      happenedBy: event.happened_by,
    })),
    compared: await readCompared(tx, { collectionId: row.collection_id, placementId: row.placement_id }),
    unreadMeters: await selectUnread(tx, { collectionId: row.collection_id, machineId: row.machine_id }),
    openers,
    keyCheck: keyCheck ?? null,
    machineSays: await reportedBetween(tx, box),
    machineEvents: await eventsBetween(tx, box),
    withoutSecondPerson: row.made_alone,
  };
}
