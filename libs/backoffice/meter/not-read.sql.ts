import type { UnreadMeter } from '#contracts/meter';
import { formatInstant } from '#contracts/format';
import type { TenantTransaction } from '#database/tenant';
import { opened } from '../collection/uncounted.sql';
import { stands, type Occasion } from './reading.sql';

export type WhyNotRead = NonNullable<UnreadMeter['said']>['why'];
export type NewNotRead = { readonly id: string; readonly meterId: string; readonly machineId: string; readonly why: WhyNotRead; readonly note: string };

export async function insertNotRead(tx: TenantTransaction, meters: readonly NewNotRead[], of: { readonly occasion: Occasion; readonly collectionId: string | null; readonly at: Date; readonly now: Date }): Promise<void> {
  if (meters.length === 0) return;
  await tx.sql(
    `INSERT INTO meter_not_read (tenant_id, id, meter_id, machine_id, happened_at, occasion, collection_id, why, note, recorded_at, recorded_by)
     SELECT $1, n.id, n.meter_id, n.machine_id, $2, $3, $4, n.why, n.note, $5, $6
       FROM unnest($7::uuid[], $8::uuid[], $9::uuid[], $10::text[], $11::text[]) AS n (id, meter_id, machine_id, why, note)`,
    [
      tx.tenantId,
      of.at,
      of.occasion,
      of.collectionId,
      of.now,
      tx.actor,
      meters.map(({ id }) => id),
      meters.map(({ meterId }) => meterId),
      meters.map(({ machineId }) => machineId),
      meters.map(({ why }) => why),
      meters.map(({ note }) => note),
    ],
  );
}

/** What was said of a meter, the latest first, as SQL. `condition`: which rows of `meter_not_read` as `n`. */
export const saidOf = (condition: string): string =>
  `(SELECT jsonb_agg(jsonb_build_object('why', n.why, 'note', n.note, 'atMs', floor(extract(epoch FROM n.recorded_at) * 1000)::bigint, 'by', n.recorded_by) ORDER BY n.recorded_at DESC, n.id DESC)
     FROM meter_not_read n WHERE n.tenant_id = $1 AND ${condition})`;

export type SaidRow = { readonly why: WhyNotRead; readonly note: string; readonly atMs: number; readonly by: string };

export function showSaid(said: readonly SaidRow[] | null): Pick<UnreadMeter, 'said' | 'before'> {
  const [latest = null, ...before] = (said ?? []).map(({ why, note, atMs, by }) => ({ why, note: note === '' ? null : note, recordedAt: formatInstant(new Date(atMs)), recordedBy: by }));
  return { said: latest, before };
}

/** SQL: whether a meter `m` was read on a day, at a site, as its machine left it. */
export const readAsItLeft = ({ site, day }: { readonly site: string; readonly day: string }): string => `EXISTS (
    SELECT FROM meter_reading r WHERE r.tenant_id = m.tenant_id AND r.meter_id = m.id AND r.occasion = 'removal' AND ${stands('r')}
       AND r.happened_at >= ${day}::timestamp AT TIME ZONE ${site}.time_zone AND r.happened_at < (${day} + 1)::timestamp AT TIME ZONE ${site}.time_zone)`;

/** SQL: whether a meter `m` of a board `k` says how much cash lies in the box. Second counters, and plays beside cash, say nothing. */
export const countsCash = `m.second_of IS NULL
     AND NOT (m.tender = 'plays' AND EXISTS (SELECT FROM meter cash WHERE cash.tenant_id = m.tenant_id AND cash.board_id = k.id AND cash.tender IN ('coin', 'note')))`;

/**
 * SQL: whether a meter `m` was read neither at the moment of a collection `c` at a site `s` nor, where that counts the machine's last box there (`removal`), with
 * the removal. Names the tenant `$1`.
 */
const isNotRead = (removal: string): string => `(
  NOT EXISTS (SELECT FROM meter_reading r WHERE r.tenant_id = $1 AND r.meter_id = m.id AND r.happened_at = c.happened_at AND ${stands('r')})
  AND NOT (${removal} AND ${readAsItLeft({ site: 's', day: 'c.local_date' })}))`;

/** SQL: whether a board was in the machine of a row `box` at the time of a collection `c`. */
const wasFitted = `k.tenant_id = $1 AND k.machine_id = box.machine_id AND k.fitted_at <= c.happened_at AND (k.removed_at IS NULL OR k.removed_at > c.happened_at)`;

/**
 * SQL: whether `box`, a box of a collection `c` at a site `s`, is the last one that was emptied there (`removal`) and a meter that counts its cash was not read: no
 * reading at this place will ever say what it counted. Names the tenant `$1`.
 */
export const leftUnread = `(box.removal AND EXISTS (
  SELECT FROM counter_board k JOIN meter m ON m.tenant_id = $1 AND m.board_id = k.id
   WHERE ${wasFitted} AND ${countsCash} AND ${isNotRead('true')}))`;

/** Meters of the machines opened at a collection that were not read at its moment, nor with the removal that it counts, with what was said of each. */
export async function selectUnread(tx: TenantTransaction, { collectionId, machineId = null }: { readonly collectionId: string; readonly machineId?: string | null }): Promise<UnreadMeter[]> {
  const { rows } = await tx.sql<{ meter_id: string; label: string; machine_id: string; machine_tag: string; said: SaidRow[] | null }>(
    `SELECT m.id AS meter_id, m.label, m.machine_id, machine.tag AS machine_tag, ${saidOf('n.collection_id = $2 AND n.meter_id = m.id')} AS said
       FROM collection c
       JOIN site s ON s.tenant_id = $1 AND s.id = c.site_id
       CROSS JOIN LATERAL (SELECT e.machine_id, bool_or(e.removal) AS removal FROM (SELECT b.machine_id, b.removal FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = $2 UNION ALL SELECT o.machine_id, false FROM (${opened((id) => `${id} = $2`)}) o) e GROUP BY e.machine_id) box
       JOIN counter_board k ON ${wasFitted}
       JOIN meter m ON m.tenant_id = $1 AND m.board_id = k.id
       JOIN machine ON machine.tenant_id = $1 AND machine.id = m.machine_id
      WHERE c.tenant_id = $1 AND c.id = $2 AND ($3::uuid IS NULL OR box.machine_id = $3)
        AND ${isNotRead('box.removal')}
      ORDER BY machine.tag, m.label`,
    [tx.tenantId, collectionId, machineId],
  );
  return rows.map((row) => ({ meterId: row.meter_id, meterLabel: row.label, machineId: row.machine_id, machineTag: row.machine_tag, ...showSaid(row.said) }));
}
