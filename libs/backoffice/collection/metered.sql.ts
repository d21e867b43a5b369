import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { leftUnread } from '../meter/not-read.sql';

/** What was entered last of a box apart from its counts, as SQL; null where nothing was. `box`: has the ids of a collection and a machine. Names the tenant `$1`. */
export function meteredApart(box: string): string {
  return `(SELECT apart.metered_minor FROM box_metered apart
            WHERE apart.tenant_id = $1 AND apart.collection_id = ${box}.collection_id AND apart.machine_id = ${box}.machine_id ORDER BY apart.recorded_at DESC, apart.id DESC LIMIT 1)`;
}

export type MeteredRow = { collection_id: string; machine_id: string; machine_tag: string; metered_minor: bigint; reason: string | null; recorded_at: Date; recorded_by: string };

/** What was entered of boxes apart from their counts: of each box the latest, by machine. */
export async function selectMeteredApart(tx: TenantTransaction, collectionIds: readonly string[]): Promise<MeteredRow[]> {
  const { rows } = await tx.sql<MeteredRow>(
    `SELECT DISTINCT ON (m.tag, b.collection_id) b.collection_id, b.machine_id, m.tag AS machine_tag, b.metered_minor, b.reason, b.recorded_at, b.recorded_by
       FROM box_metered b JOIN machine m ON m.tenant_id = $1 AND m.id = b.machine_id
      WHERE b.tenant_id = $1 AND b.collection_id = ANY ($2::uuid[]) ORDER BY m.tag, b.collection_id, b.recorded_at DESC, b.id DESC`,
    [tx.tenantId, collectionIds],
  );
  return rows;
}

/**
 * Whether the terms of an agreement on a day go by the meters, as SQL; null where there are none. Names the tenant `$1`. Where
 * nobody settles by meters no terms are read, however many days are asked about.
 */
export function goesByMeters({ agreementId, day }: { readonly agreementId: string; readonly day: string }): string {
  return `CASE WHEN (SELECT EXISTS (SELECT FROM agreement_version v WHERE v.tenant_id = $1 AND v.withdrawn_at IS NULL AND v.terms ->> 'basis' = 'metered'))
               THEN (SELECT v.terms ->> 'basis' = 'metered' FROM agreement_version v
                      WHERE v.tenant_id = $1 AND v.agreement_id = ${agreementId} AND v.withdrawn_at IS NULL AND v.effective_from <= ${day}
                      ORDER BY v.effective_from DESC LIMIT 1) ELSE false END`;
}

export type UnsaidRow = { collection_id: string; site_code: string; local_date: LocalDate; machine_id: string; machine_tag: string; is_recorded: boolean };

/** A board is in the machine of a row `box` at the time of a collection `c`, as SQL. */
const isRecorded = `EXISTS (SELECT FROM counter_board k WHERE k.tenant_id = $1 AND k.machine_id = box.machine_id AND k.fitted_at <= c.happened_at AND (k.removed_at IS NULL OR k.removed_at > c.happened_at))`;

/**
 * Counted boxes under terms that go by the meters of which nobody said what these imply: of machines whose meters are not recorded, and the last box of a machine at
 * a site whose meters were not read then; with `every` also all others, of which the meters may tell it.
 */
export async function selectUnsaid(tx: TenantTransaction, collectionIds: readonly string[], { every }: { readonly every: boolean }): Promise<UnsaidRow[]> {
  const { rows } = await tx.sql<UnsaidRow>(
    `SELECT c.id AS collection_id, s.code AS site_code, c.local_date, m.id AS machine_id, m.tag AS machine_tag, ${isRecorded} AS is_recorded
       FROM collection c
       JOIN site s ON s.tenant_id = $1 AND s.id = c.site_id
       JOIN agreement a ON a.tenant_id = $1 AND a.site_id = c.site_id AND a.started_on <= c.accounting_date AND (a.ended_on IS NULL OR c.accounting_date < a.ended_on)
       CROSS JOIN LATERAL (
         SELECT c.id AS collection_id, b.machine_id, bool_or(b.removal) AS removal FROM box_count b
          WHERE b.tenant_id = $1 AND b.collection_id = c.id AND NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = $1 AND newer.replaces_id = b.id)
          GROUP BY b.machine_id HAVING count(b.metered_minor) = 0) box
       JOIN machine m ON m.tenant_id = $1 AND m.id = box.machine_id
      WHERE c.tenant_id = $1 AND c.id = ANY ($2::uuid[]) AND ${goesByMeters({ agreementId: 'a.id', day: 'c.accounting_date' })} AND ${meteredApart('box')} IS NULL
        AND ($3 OR ${leftUnread} OR NOT ${isRecorded})
      ORDER BY s.code, c.local_date, c.id, m.tag`,
    [tx.tenantId, collectionIds, every],
  );
  return rows;
}

/** A counted box. */
type BoxId = { readonly collectionId: string; readonly machineId: string };

/** Boxes of these collections that were the last ones of their machines at the site, and whose meters were not read then. */
export async function selectLeftUnread(tx: TenantTransaction, collectionIds: readonly string[]): Promise<BoxId[]> {
  const { rows } = await tx.sql<BoxId>(
    `SELECT box.collection_id AS "collectionId", box.machine_id AS "machineId"
       FROM (SELECT DISTINCT b.collection_id, b.machine_id, true AS removal FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = ANY ($2::uuid[]) AND b.removal
                AND NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = $1 AND newer.replaces_id = b.id)) box
       JOIN collection c ON c.tenant_id = $1 AND c.id = box.collection_id
       JOIN site s ON s.tenant_id = $1 AND s.id = c.site_id
      WHERE ${leftUnread}`,
    [tx.tenantId, collectionIds],
  );
  return rows;
}

/** Counted boxes of machines in which a board was at the time: their meters are recorded. */
export async function selectRecordedBoxes(tx: TenantTransaction, collectionIds: readonly string[]): Promise<BoxId[]> {
  const { rows } = await tx.sql<BoxId>(
    `SELECT DISTINCT box.collection_id AS "collectionId", box.machine_id AS "machineId"
       FROM collection c JOIN box_count box ON box.tenant_id = $1 AND box.collection_id = c.id
      WHERE c.tenant_id = $1 AND c.id = ANY ($2::uuid[]) AND ${isRecorded}`,
    [tx.tenantId, collectionIds],
  );
  return rows;
}

/** Whether another part of a box than this one says what its meters imply: one part says it for the whole box. */
export async function isSaidByOtherPart(tx: TenantTransaction, count: { readonly collectionId: string; readonly machineId: string; readonly part: number }): Promise<boolean> {
  const { rows } = await tx.sql<{ said: boolean }>(
    `SELECT EXISTS (SELECT FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = $2 AND b.machine_id = $3 AND b.part <> $4 AND b.metered_minor IS NOT NULL
                       AND NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = $1 AND newer.replaces_id = b.id)) AS said`,
    [tx.tenantId, count.collectionId, count.machineId, count.part],
  );
  return rows[0]?.said === true;
}

/** Who counted at a collection, in the room or at the machines, as far as they have accounts. */
export async function selectCountedBy(tx: TenantTransaction, collectionId: string): Promise<string[]> {
  const { rows } = await tx.sql<{ actor: string }>(
    `SELECT b.recorded_by AS actor FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = $2 AND b.part > 0 AND b.replaces_id IS NULL
      UNION SELECT 'user:' || m.account_id FROM field_count f JOIN identity.members() m ON m.person_id = f.counted_by WHERE f.tenant_id = $1 AND f.collection_id = $2`,
    [tx.tenantId, collectionId],
  );
  return rows.map(({ actor }) => actor);
}

export async function insertMetered(
  tx: TenantTransaction,
  amounts: readonly { readonly id: string; readonly machineId: string; readonly meteredMinor: bigint; readonly reason: string | null }[],
  { collectionId, now }: { readonly collectionId: string; readonly now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO box_metered (tenant_id, id, collection_id, machine_id, metered_minor, reason, recorded_at, recorded_by)
     SELECT $1, a.id, $2, a.machine_id, a.minor, a.reason, $3, $4 FROM unnest($5::uuid[], $6::uuid[], $7::bigint[], $8::text[]) AS a (id, machine_id, minor, reason)`,
    [tx.tenantId, collectionId, now, tx.actor, amounts.map(({ id }) => id), amounts.map(({ machineId }) => machineId), amounts.map(({ meteredMinor }) => meteredMinor), amounts.map(({ reason }) => reason)],
  );
}
