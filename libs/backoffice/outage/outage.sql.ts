import type { TenantTransaction } from '#database/tenant';
import { comparedTogether } from '../variance/together.sql';
import { isOwnWord } from './own-word.sql';

export type OutageRow = {
  id: string;
  machine_id: string;
  machine_tag: string;
  started_at: Date;
  ended_at: Date | null;
  cause: string;
  remedy: string;
  reported_by: string | null;
  ended_by: string | null;
  confirmed_at: Date | null;
  confirmed_by: string | null;
  confirmed_alone: boolean;
  /** Whose word it is: who recorded it, who ended it, and the accounts of who told of it. */
  said_by: string[];
  to_confirm: boolean;
  taken_back_at: Date | null;
  taken_back_by: string | null;
  taken_back_because: string | null;
  revision: number;
  recorded_at: Date;
  recorded_by: string;
};

/** Counts that an outage may explain: of the machine, emptied in its time or as the first after it, or compared with all that was counted since before it ended. */
const explained = `EXISTS (
       SELECT FROM placement p JOIN box_count counted ON counted.tenant_id = $1 AND counted.placement_id = p.id JOIN collection c ON c.tenant_id = $1 AND c.id = counted.collection_id
        WHERE p.tenant_id = $1 AND p.machine_id = o.machine_id AND c.state <> 'discarded' AND c.happened_at > o.started_at
          AND (NOT EXISTS (SELECT FROM box_count between_b JOIN collection between_c ON between_c.tenant_id = $1 AND between_c.id = between_b.collection_id
                            WHERE between_b.tenant_id = $1 AND between_b.placement_id = p.id AND between_c.state <> 'discarded' AND between_c.happened_at >= o.ended_at AND between_c.happened_at < c.happened_at)
               OR EXISTS (SELECT FROM cash_variance v WHERE v.tenant_id = $1 AND v.collection_id = c.id AND v.placement_id = p.id AND v.stands AND v.counts > 1 AND v.since_at < o.ended_at))
          AND ${isOwnWord(comparedTogether({ collection: 'c', placementId: 'p.id' }))})`;

/** Whose word an outage is, as SQL: who recorded it, who ended it, and the accounts of who told of it. */
const saidBy = `array_remove(ARRAY[o.recorded_by, o.ended_by] || ARRAY(SELECT 'user:' || told.account_id FROM identity.members() told WHERE told.person_id = o.reported_by), NULL)`;

const behind = (actor: string): string => `coalesce((SELECT t.created_by FROM identity.api_tokens() t WHERE 'token:' || t.id = ${actor}), ${actor})`;

/** Whether the confirmation that stands is by one of those whose word it is. What one before it was relaxed for stays on record, and says nothing of this one. */
const confirmedAlone = `EXISTS (SELECT FROM relaxed_record alone WHERE alone.tenant_id = $1 AND alone.record_id = o.id AND alone.rule = 'second-person')
         AND EXISTS (SELECT FROM unnest(${saidBy}) said (actor) WHERE ${behind('said.actor')} = ${behind('o.confirmed_by')})`;

const outages = `
  SELECT o.id, o.machine_id, machine.tag AS machine_tag, o.started_at, o.ended_at, o.cause, o.remedy, o.reported_by, o.ended_by, o.confirmed_at, o.confirmed_by, ${confirmedAlone} AS confirmed_alone,
         ${saidBy} AS said_by,
         o.taken_back_at IS NULL AND ${explained} AS to_confirm, o.taken_back_at, o.taken_back_by, o.taken_back_because, o.revision, o.recorded_at, o.recorded_by
    FROM outage o JOIN machine ON machine.tenant_id = $1 AND machine.id = o.machine_id`;

export async function insertOutage(
  tx: TenantTransaction,
  outage: Pick<OutageRow, 'id' | 'machine_id' | 'started_at' | 'ended_at' | 'cause' | 'remedy' | 'reported_by' | 'recorded_at'>,
): Promise<void> {
  await tx.sql(
    `INSERT INTO outage (tenant_id, id, machine_id, started_at, ended_at, cause, remedy, reported_by, recorded_at, recorded_by, ended_by)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, CASE WHEN $5::timestamptz IS NOT NULL THEN $10 END)`,
    [tx.tenantId, outage.id, outage.machine_id, outage.started_at, outage.ended_at, outage.cause, outage.remedy, outage.reported_by, outage.recorded_at, tx.actor],
  );
}

export async function selectOutage(tx: TenantTransaction, id: string): Promise<OutageRow | null> {
  return (await tx.sql<OutageRow>(`${outages} WHERE o.tenant_id = $1 AND o.id = $2`, [tx.tenantId, id])).rows[0] ?? null;
}

/** Ends an outage that has not ended, and says whether it had not. Whoever confirmed it before knew no end of it. */
export async function updateEnd(tx: TenantTransaction, outage: { readonly id: string; readonly endedAt: Date; readonly remedy: string }): Promise<boolean> {
  const { rowCount } = await tx.sql(
    'UPDATE outage SET ended_at = $3, ended_by = $4, remedy = $5, confirmed_at = NULL, confirmed_by = NULL WHERE tenant_id = $1 AND id = $2 AND ended_at IS NULL AND taken_back_at IS NULL',
    [tx.tenantId, outage.id, outage.endedAt, tx.actor, outage.remedy],
  );
  return rowCount === 1;
}

/** Confirms an outage, and says whether nobody had yet and it was not taken back. */
export async function updateConfirmed(tx: TenantTransaction, outage: { readonly id: string; readonly now: Date }): Promise<boolean> {
  const { rowCount } = await tx.sql('UPDATE outage SET confirmed_at = $3, confirmed_by = $4 WHERE tenant_id = $1 AND id = $2 AND confirmed_at IS NULL AND taken_back_at IS NULL', [tx.tenantId, outage.id, outage.now, tx.actor]);
  return rowCount === 1;
}

/** Takes back an outage, and says whether it was not taken back before. */
export async function updateTakenBack(tx: TenantTransaction, outage: { readonly id: string; readonly reason: string; readonly now: Date }): Promise<boolean> {
  const { rowCount } = await tx.sql('UPDATE outage SET taken_back_at = $3, taken_back_by = $4, taken_back_because = $5 WHERE tenant_id = $1 AND id = $2 AND taken_back_at IS NULL', [tx.tenantId, outage.id, outage.now, tx.actor, outage.reason]);
  return rowCount === 1;
}

/** The latest first. Those that were taken back are in no state, and only among all. */
export async function selectOutages(
  tx: TenantTransaction,
  list: { readonly after: readonly [startedAt: string, id: string] | null; readonly limit: number; readonly machineId: string | null; readonly ended: boolean | null },
): Promise<OutageRow[]> {
  const [startedAt, id] = list.after ?? [null, null];
  const { rows } = await tx.sql<OutageRow>(
    `${outages}
      WHERE o.tenant_id = $1 AND ($2::timestamptz IS NULL OR (o.started_at, o.id) < ($2::timestamptz, $3::uuid))
        AND ($4::uuid IS NULL OR o.machine_id = $4) AND ($5::boolean IS NULL OR ((o.ended_at IS NOT NULL) = $5 AND o.taken_back_at IS NULL))
      ORDER BY o.started_at DESC, o.id DESC LIMIT $6`,
    [tx.tenantId, startedAt, id, list.machineId, list.ended, list.limit],
  );
  return rows;
}
