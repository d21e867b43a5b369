import type { TenantTransaction } from '#database/tenant';

/**
 * A collection that somebody may still count. One that was discarded is among them until the same is counted anew: a
 * collection accepted there that is of that day or later, or was entered since. Else discarding would open what was sealed.
 */
const waits = (row: string): string =>
  `${row}.state <> 'accepted' AND (${row}.state IN ('open', 'counted') OR (${row}.state = 'discarded' AND NOT EXISTS (
     SELECT FROM collection anew WHERE anew.tenant_id = ${row}.tenant_id AND anew.site_id = ${row}.site_id AND anew.state = 'accepted'
        AND (anew.local_date >= ${row}.local_date OR anew.recorded_at > ${row}.discarded_at))))`;

/** Visits that phones sent and that are kept aside, by site: whoever made one has the cash in hand and saw the meters, until the site is counted. */
const keptVisits = `
  SELECT s.id AS site_id, v.received_from, d.person_id
    FROM phone_visit v
    JOIN site s ON s.tenant_id = v.tenant_id AND s.id::text = lower(v.body ->> 'siteId')
    JOIN collector_device d ON d.tenant_id = v.tenant_id AND d.id = v.device_id
   WHERE v.tenant_id = $1 AND v.outcome = 'quarantined'
     AND NOT EXISTS (SELECT FROM phone_visit_ruling r WHERE r.tenant_id = $1 AND r.visit_id = v.id AND r.kind = 'entered')
     AND NOT EXISTS (SELECT FROM collection anew WHERE anew.tenant_id = $1 AND anew.site_id = s.id AND anew.state = 'accepted'
                        AND (anew.happened_at > v.received_at OR anew.recorded_at > v.received_at))`;

/** Sites of these with a collection that waits, or a visit that is kept aside. A file is accepted as it is entered, and counted by nobody here. */
export async function selectWaitingSites(tx: TenantTransaction, siteIds: readonly string[] | 'every'): Promise<string[]> {
  const { rows } = await tx.sql<{ site_id: string }>(
    `SELECT c.site_id FROM collection c WHERE c.tenant_id = $1 AND ($2::uuid[] IS NULL OR c.site_id = ANY ($2)) AND ${waits('c')}
      UNION SELECT kept.site_id FROM (${keptVisits}) kept WHERE $2::uuid[] IS NULL OR kept.site_id = ANY ($2)
      ORDER BY site_id`,
    [tx.tenantId, siteIds === 'every' ? null : siteIds],
  );
  return rows.map((row) => row.site_id);
}

/** Sites of these with terms that go, or once went, by the meters: their settlements say what meters counted. */
export async function selectSitesByMeters(tx: TenantTransaction, siteIds: readonly string[]): Promise<string[]> {
  const { rows } = await tx.sql<{ site_id: string }>(
    `SELECT DISTINCT a.site_id FROM agreement a JOIN agreement_version v ON v.tenant_id = a.tenant_id AND v.agreement_id = a.id
      WHERE a.tenant_id = $1 AND a.site_id = ANY ($2::uuid[]) AND v.terms ->> 'basis' = 'metered'`,
    [tx.tenantId, siteIds],
  );
  return rows.map((row) => row.site_id);
}

/** Rounds whose stops nobody went to for longer are done or forgotten. */
const PLANNED_DAYS = 14;

export type PlannedSiteRow = { readonly site_id: string; readonly collector_id: string; readonly has_begun: boolean };

/** Sites of these to which a round is on its way and where nobody was since its day, with who is to collect there and whether that day has come. */
export async function selectPlannedSites(tx: TenantTransaction, asked: { readonly siteIds: readonly string[] | 'every'; readonly now: Date }): Promise<PlannedSiteRow[]> {
  const { rows } = await tx.sql<PlannedSiteRow>(
    `SELECT stop.site_id, r.collector_id, bool_or(r.planned_on <= ($3::timestamptz AT TIME ZONE s.time_zone)::date) AS has_begun
       FROM collection_round r
       JOIN collection_round_stop stop ON stop.tenant_id = r.tenant_id AND stop.round_id = r.id
       JOIN site s ON s.tenant_id = stop.tenant_id AND s.id = stop.site_id
      WHERE r.tenant_id = $1 AND r.state = 'planned' AND ($2::uuid[] IS NULL OR stop.site_id = ANY ($2))
        AND r.planned_on >= ($3::timestamptz AT TIME ZONE s.time_zone)::date - ${PLANNED_DAYS}
        AND NOT EXISTS (SELECT FROM collection c WHERE c.tenant_id = $1 AND c.site_id = stop.site_id AND c.state <> 'discarded' AND c.local_date >= r.planned_on)
      GROUP BY stop.site_id, r.collector_id`,
    [tx.tenantId, asked.siteIds === 'every' ? null : asked.siteIds, asked.now],
  );
  return rows;
}

/** Somebody with the tokens that they made. */
export async function selectActorsOf(tx: TenantTransaction, behind: string): Promise<string[]> {
  const { rows } = await tx.sql<{ actor: string }>(`SELECT 'token:' || id AS actor FROM identity.api_tokens() WHERE created_by = $1`, [behind]);
  return [...new Set([behind, tx.actor, ...rows.map((row) => row.actor)])];
}

export async function selectPersonOf(tx: TenantTransaction, behind: string): Promise<string | null> {
  const { rows } = await tx.sql<{ person_id: string | null }>(`SELECT person_id FROM identity.members() WHERE 'user:' || account_id = $1`, [behind]);
  return rows[0]?.person_id ?? null;
}

/** Sites of these where somebody has a hand in a collection that waits, or made a visit that is kept aside. */
export async function selectSitesInHand(tx: TenantTransaction, who: { readonly actors: readonly string[]; readonly personId: string | null; readonly siteIds: readonly string[] }): Promise<string[]> {
  const { rows } = await tx.sql<{ site_id: string }>(
    `SELECT c.site_id FROM collection c
      WHERE c.tenant_id = $1 AND c.site_id = ANY ($4::uuid[]) AND ${waits('c')}
        AND (c.recorded_by = ANY ($2::text[]) OR c.collected_by = $3
          OR EXISTS (SELECT FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = c.id AND b.recorded_by = ANY ($2))
          OR EXISTS (SELECT FROM field_count f WHERE f.tenant_id = $1 AND f.collection_id = c.id AND (f.recorded_by = ANY ($2) OR f.counted_by = $3))
          OR EXISTS (SELECT FROM box_metered apart WHERE apart.tenant_id = $1 AND apart.collection_id = c.id AND apart.recorded_by = ANY ($2))
          OR EXISTS (SELECT FROM meter_reading r WHERE r.tenant_id = $1 AND r.collection_id = c.id AND (r.recorded_by = ANY ($2) OR r.read_by = $3))
          OR EXISTS (SELECT FROM collection_key_holder k WHERE k.tenant_id = $1 AND k.collection_id = c.id AND k.person_id = $3))
      UNION SELECT kept.site_id FROM (${keptVisits}) kept WHERE kept.site_id = ANY ($4) AND (kept.received_from = ANY ($2) OR kept.person_id = $3)`,
    [tx.tenantId, who.actors, who.personId, who.siteIds],
  );
  return rows.map((row) => row.site_id);
}

/** Puts on record who was shown what collections should hold before they were accepted, the first time. */
export async function insertLooks(tx: TenantTransaction, look: { readonly by: string; readonly siteIds: readonly string[]; readonly now: Date }): Promise<void> {
  if (look.siteIds.length === 0) return;
  await tx.sql(
    `INSERT INTO count_look (tenant_id, collection_id, looked_by, looked_at)
     SELECT $1, c.id, $2, $3 FROM collection c WHERE c.tenant_id = $1 AND c.site_id = ANY ($4::uuid[]) AND ${waits('c')}
         ON CONFLICT DO NOTHING`,
    [tx.tenantId, look.by, look.now, look.siteIds],
  );
}

/** Puts on record who was shown what lies in the boxes of sites since they were emptied last, before anybody went there again: the first time. */
export async function insertSiteLooks(tx: TenantTransaction, look: { readonly by: string; readonly siteIds: readonly string[] | 'every'; readonly notSites: readonly string[]; readonly now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO site_look (tenant_id, site_id, looked_by, emptied_at, looked_at)
     SELECT $1, s.id, $2, coalesce((SELECT max(c.happened_at) FROM collection c WHERE c.tenant_id = $1 AND c.site_id = s.id AND c.state <> 'discarded'), '-infinity'), $3
       FROM site s WHERE s.tenant_id = $1 AND ($4::uuid[] IS NULL OR s.id = ANY ($4)) AND s.id <> ALL ($5::uuid[])
      ORDER BY s.id
         ON CONFLICT DO NOTHING`,
    [tx.tenantId, look.by, look.now, look.siteIds === 'every' ? null : look.siteIds, look.notSites],
  );
}

/** Somebody who knew something, and since when. */
export type Look = { looked_by: string; looked_at: Date };

/**
 * Who knew what a collection should hold, and since when: who was shown it before it was accepted, who was shown what lay in
 * the boxes after they were emptied last, and who read or entered its meters. So did whoever knew it of a collection there that was discarded, or of a visit that was kept aside (who made it, and
 * whom it was shown to), and that this one is entered instead of: nothing was accepted in between.
 */
export async function selectLooks(tx: TenantTransaction, collectionId: string): Promise<Look[]> {
  const { rows } = await tx.sql<Look>(
    `WITH ${same}
     SELECT l.looked_by, l.looked_at FROM same JOIN count_look l ON l.tenant_id = $1 AND l.collection_id = same.id
      -- What was shown before an emptying in between is no longer in the boxes.
      UNION SELECT l.looked_by, l.looked_at FROM collection c JOIN site_look l ON l.tenant_id = $1 AND l.site_id = c.site_id
             WHERE c.tenant_id = $1 AND c.id = $2
               AND NOT EXISTS (SELECT FROM collection other WHERE other.tenant_id = $1 AND other.site_id = c.site_id AND other.id <> c.id AND other.state <> 'discarded'
                                  AND other.happened_at >= least(l.looked_at, c.happened_at) AND other.happened_at <= greatest(l.looked_at, c.happened_at))
      UNION SELECT r.recorded_by, r.recorded_at FROM same JOIN meter_reading r ON r.tenant_id = $1 AND r.collection_id = same.id
      UNION SELECT apart.recorded_by, apart.recorded_at FROM same JOIN box_metered apart ON apart.tenant_id = $1 AND apart.collection_id = same.id
      UNION SELECT k.recorded_by, k.recorded_at FROM same JOIN collection_bag k ON k.tenant_id = $1 AND k.collection_id = same.id AND k.metered_minor IS NOT NULL
      -- With the count itself, where nobody had typed it with the bag: by who counted.
      UNION SELECT b.recorded_by, b.recorded_at FROM same JOIN box_count b ON b.tenant_id = $1 AND b.collection_id = same.id AND b.part > 0 AND b.replaces_id IS NULL AND b.metered_minor IS NOT NULL
             WHERE NOT EXISTS (SELECT FROM collection_bag k WHERE k.tenant_id = $1 AND k.collection_id = b.collection_id AND k.machine_id = b.machine_id AND k.metered_minor IS NOT NULL)
      UNION SELECT 'user:' || m.account_id, r.recorded_at FROM same JOIN meter_reading r ON r.tenant_id = $1 AND r.collection_id = same.id JOIN identity.members() m ON m.person_id = r.read_by
      UNION ${knewKept('readings')}`,
    [tx.tenantId, collectionId],
  );
  return rows;
}

/** Something was accepted at the site of the collection `c` since a moment and before it was entered. */
const acceptedBetween = (since: string): string =>
  `EXISTS (SELECT FROM collection anew WHERE anew.tenant_id = $1 AND anew.site_id = c.site_id AND anew.id <> c.id AND anew.state = 'accepted' AND anew.recorded_at > ${since} AND anew.recorded_at < c.recorded_at)`;

/** The collection `$2`, and those that were discarded and that it is entered instead of. */
const same = `same AS (
       SELECT $2::uuid AS id
        UNION SELECT d.id FROM collection c JOIN collection d ON d.tenant_id = $1 AND d.site_id = c.site_id AND d.state = 'discarded' AND NOT ${acceptedBetween('d.discarded_at')}
               WHERE c.tenant_id = $1 AND c.id = $2)`;

/** Who made a visit with readings, or counts, that was kept aside and that the collection `$2` is entered instead of, or was shown it. */
const knewKept = (what: 'readings' | 'counts'): string =>
  `SELECT knew.by AS looked_by, knew.at AS looked_at
     FROM collection c JOIN phone_visit v ON v.tenant_id = $1 AND lower(v.body ->> 'siteId') = c.site_id::text AND v.outcome = 'quarantined'
                        AND CASE WHEN jsonb_typeof(v.body -> '${what}') = 'array' THEN jsonb_array_length(v.body -> '${what}') > 0 ELSE false END
     LEFT JOIN phone_visit_ruling r ON r.tenant_id = $1 AND r.visit_id = v.id
     CROSS JOIN LATERAL (SELECT v.received_from AS by, v.received_at AS at
                          UNION ALL SELECT l.looked_by, l.looked_at FROM kept_visit_look l WHERE l.tenant_id = $1 AND l.visit_id = v.id) knew
    WHERE c.tenant_id = $1 AND c.id = $2 AND (r.collection_id = c.id OR (r.collection_id IS NULL AND NOT ${acceptedBetween('v.received_at')}))`;

/**
 * Who knew what was counted at the machines of a collection, or of one that it is entered instead of, before the room counts the same, and since when: who counted
 * there, who entered it, and who made a visit with counts that was kept aside, or was shown it. Where that visit was entered without bags, its counts settle and the room counts none of them.
 */
export async function selectFirstCounts(tx: TenantTransaction, collectionId: string): Promise<Look[]> {
  const { rows } = await tx.sql<Look>(
    `WITH ${same}
     SELECT f.recorded_by AS looked_by, f.recorded_at AS looked_at FROM same JOIN field_count f ON f.tenant_id = $1 AND f.collection_id = same.id
      UNION SELECT 'user:' || m.account_id, f.recorded_at FROM same JOIN field_count f ON f.tenant_id = $1 AND f.collection_id = same.id JOIN identity.members() m ON m.person_id = f.counted_by
      -- A visit that was counted whole at the machines, discarded, and entered anew with bags.
      UNION SELECT knew.by, b.recorded_at FROM same JOIN box_count b ON b.tenant_id = $1 AND b.collection_id = same.id AND b.at_machine AND same.id <> $2 JOIN collection c ON c.tenant_id = $1 AND c.id = same.id
             CROSS JOIN LATERAL (SELECT b.recorded_by AS by UNION ALL SELECT 'user:' || m.account_id FROM identity.members() m WHERE m.person_id = c.collected_by) knew
      UNION ${knewKept('counts')} AND (r.collection_id IS NULL OR coalesce(r.entered -> 'bags', '[]') <> '[]')`,
    [tx.tenantId, collectionId],
  );
  return rows;
}

/** Who counted at the machines what the office entered of a visit that was kept aside: the counts are theirs, whoever entered them. Boxes that went into bags are counted by the room. */
export async function selectCountedOnVisit(tx: TenantTransaction, collectionId: string): Promise<{ recorded_by: string; recorded_at: Date }[]> {
  const { rows } = await tx.sql<{ recorded_by: string; recorded_at: Date }>(
    `SELECT v.received_from AS recorded_by, r.ruled_at AS recorded_at
       FROM phone_visit_ruling r JOIN phone_visit v ON v.tenant_id = r.tenant_id AND v.id = r.visit_id
      WHERE r.tenant_id = $1 AND r.collection_id = $2 AND r.entered -> 'counts' <> '[]' AND coalesce(r.entered -> 'bags', '[]') = '[]'`,
    [tx.tenantId, collectionId],
  );
  return rows;
}
