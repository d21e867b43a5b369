import type { UnreadMeter } from '#contracts/meter';
import { formatInstant } from '#contracts/format';
import type { TenantTransaction } from '#database/tenant';
import { opened } from '../collection/uncounted.sql';
import { countsCash } from './meter.sql';
import { stands, type Occasion } from './reading.sql';
import { outAsItLeft } from './stay.sql';

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

/** A box as it was emptied, as SQL: whether it counts the last that a machine had at the site, which machine, at which site, when, the day there, and the time zone. */
type EmptiedBox = { readonly removal: string; readonly machine: string; readonly site: string; readonly at: string; readonly day: string; readonly timeZone: string };

/** SQL: whether a reading `r` says how a machine left a site on a day: it was read for that, or as its board came out. Names the tenant `$1`. */
export const readAsItLeft = ({ machine, site, day, timeZone }: Omit<EmptiedBox, 'removal' | 'at'>): string => `(
  (r.occasion = 'removal' OR ${outAsItLeft({ machineId: machine, siteId: site, day })})
  AND r.happened_at >= ${day}::timestamp AT TIME ZONE ${timeZone} AND r.happened_at < (${day} + 1)::timestamp AT TIME ZONE ${timeZone})`;

/** SQL: whether a meter `m` was read neither at the moment of a box nor, where that is the last one, as its machine left the site on that day. Names the tenant `$1`. */
const isNotRead = ({ removal, at, ...left }: EmptiedBox): string => `(
  NOT EXISTS (SELECT FROM meter_reading r WHERE r.tenant_id = $1 AND r.meter_id = m.id AND r.happened_at = ${at} AND ${stands('r')})
  AND NOT (${removal} AND EXISTS (SELECT FROM meter_reading r WHERE r.tenant_id = $1 AND r.meter_id = m.id AND ${stands('r')} AND ${readAsItLeft(left)})))`;

/** SQL: whether a board `k` is in a machine at a moment. Names the tenant `$1`. */
const isFitted = ({ machine, at }: Pick<EmptiedBox, 'machine' | 'at'>): string => `k.tenant_id = $1 AND k.machine_id = ${machine} AND k.fitted_at <= ${at} AND (k.removed_at IS NULL OR k.removed_at > ${at})`;

/**
 * SQL: whether a box is the last one that was emptied at a site and a meter that counts its cash was not read: no reading at this place will ever say what it
 * counted. `readBeside`: of a meter `m`, whether a reading of it comes with the box that the books have not got yet. Names the tenant `$1`.
 */
export const isLeftUnread = (box: EmptiedBox, readBeside = 'false'): string => `(${box.removal} AND EXISTS (
  SELECT FROM counter_board k JOIN meter m ON m.tenant_id = $1 AND m.board_id = k.id
   WHERE ${isFitted(box)} AND ${countsCash} AND NOT ${readBeside} AND ${isNotRead({ ...box, removal: 'true' })}))`;

/** A row `box` of a collection `c` at a site `s`. */
export const ofCollection = { machine: 'box.machine_id', site: 'c.site_id', at: 'c.happened_at', day: 'c.local_date', timeZone: 's.time_zone' };

/** The same of `box`, a box of a collection `c` at a site `s`. */
export const leftUnread = isLeftUnread({ ...ofCollection, removal: 'box.removal' });

/** SQL: a board `k` that was in the machine of `box`, a box of a collection `c`. */
export const wasFitted = isFitted(ofCollection);

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
        AND ${isNotRead({ ...ofCollection, removal: 'box.removal' })}
      ORDER BY machine.tag, m.label`,
    [tx.tenantId, collectionId, machineId],
  );
  return rows.map((row) => ({ meterId: row.meter_id, meterLabel: row.label, machineId: row.machine_id, machineTag: row.machine_tag, ...showSaid(row.said) }));
}
