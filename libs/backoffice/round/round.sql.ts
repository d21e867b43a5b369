import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';

export type RoundRow = {
  id: string;
  name: string;
  planned_on: LocalDate;
  collector_id: string;
  collector_name: string;
  state: 'planned' | 'cancelled';
  cancelled_because: string | null;
  revision: number;
  recorded_at: Date;
  recorded_by: string;
};

const columns = `r.id, r.name, r.planned_on, r.collector_id, p.name AS collector_name, r.state, r.cancelled_because, r.revision, r.recorded_at, r.recorded_by`;
const fromRounds = 'collection_round r JOIN person p ON p.tenant_id = r.tenant_id AND p.id = r.collector_id';

/** First visit to a stop on the day of its round or later. */
const collectedOn = `(SELECT min(c.local_date) FROM collection c WHERE c.tenant_id = s.tenant_id AND c.site_id = s.site_id AND c.local_date >= r.planned_on AND c.state <> 'discarded')`;

/** Rounds that go to a stop after its own, the day of the next; before a day, where that is said. */
const plannedAgain = (before: string | null = null): string => `(SELECT min(n.planned_on) FROM collection_round_stop again JOIN collection_round n ON n.tenant_id = again.tenant_id AND n.id = again.round_id
   WHERE again.tenant_id = s.tenant_id AND again.site_id = s.site_id AND n.state = 'planned' AND (n.planned_on, n.id) > (r.planned_on, r.id)${before === null ? '' : ` AND (${before} IS NULL OR n.planned_on < ${before})`})`;

/** Whether nobody has been at a stop of a round since. */
const isMissed = (before: string): string => `r.state = 'planned' AND EXISTS (
  SELECT FROM collection_round_stop s JOIN site ON site.tenant_id = s.tenant_id AND site.id = s.site_id AND (site.closed_on IS NULL OR site.closed_on >= ${before})
   WHERE s.tenant_id = r.tenant_id AND s.round_id = r.id AND ${collectedOn} IS NULL AND ${plannedAgain(before)} IS NULL)`;

/** A visit of the collector to the stop that came by phone and is kept aside. */
const withOffice = `EXISTS (
  SELECT FROM phone_visit v JOIN collector_device d ON d.tenant_id = v.tenant_id AND d.id = v.device_id
   WHERE v.tenant_id = s.tenant_id AND v.outcome = 'quarantined' AND d.person_id = r.collector_id AND lower(v.body ->> 'siteId') = s.site_id::text
     AND (v.received_at AT TIME ZONE site.time_zone)::date >= r.planned_on
     AND NOT EXISTS (SELECT FROM phone_visit_ruling ruled WHERE ruled.tenant_id = v.tenant_id AND ruled.visit_id = v.id))`;

export async function insertRound(tx: TenantTransaction, round: Pick<RoundRow, 'id' | 'name' | 'planned_on' | 'collector_id'> & { readonly now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO collection_round (tenant_id, id, name, planned_on, collector_id, state, recorded_at, recorded_by) VALUES ($1, $2, $3, $4, $5, 'planned', $6, $7)`,
    [tx.tenantId, round.id, round.name, round.planned_on, round.collector_id, round.now, tx.actor],
  );
}

/** Puts these sites into the round, in this order and in place of what was there. */
export async function replaceStops(tx: TenantTransaction, round: { readonly id: string; readonly siteIds: readonly string[] }): Promise<void> {
  await tx.sql('DELETE FROM collection_round_stop WHERE tenant_id = $1 AND round_id = $2', [tx.tenantId, round.id]);
  await tx.sql(
    `INSERT INTO collection_round_stop (tenant_id, round_id, position, site_id)
     SELECT $1, $2, site.position, site.id FROM unnest($3::uuid[]) WITH ORDINALITY AS site (id, position)`,
    [tx.tenantId, round.id, round.siteIds],
  );
}

export async function selectRound(tx: TenantTransaction, id: string): Promise<RoundRow | null> {
  const { rows } = await tx.sql<RoundRow>(`SELECT ${columns} FROM ${fromRounds} WHERE r.tenant_id = $1 AND r.id = $2`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function lockRound(tx: TenantTransaction, id: string): Promise<void> {
  await tx.sql('SELECT FROM collection_round WHERE tenant_id = $1 AND id = $2 FOR UPDATE', [tx.tenantId, id]);
}

/** By day, the latest first. */
export async function selectRounds(
  tx: TenantTransaction,
  list: { readonly after: readonly [plannedOn: string, id: string] | null; readonly limit: number; readonly from: string | null; readonly before: string | null; readonly missed: boolean },
): Promise<RoundRow[]> {
  const [plannedOn, id] = list.after ?? [null, null];
  const { rows } = await tx.sql<RoundRow>(
    `SELECT ${columns} FROM ${fromRounds}
      WHERE r.tenant_id = $1 AND ($2::date IS NULL OR (r.planned_on, r.id) < ($2::date, $3::uuid))
        AND ($4::date IS NULL OR r.planned_on >= $4::date) AND ($5::date IS NULL OR r.planned_on < $5::date)${list.missed ? ` AND ${isMissed('$5::date')}` : ''}
      ORDER BY r.planned_on DESC, r.id DESC LIMIT $6`,
    [tx.tenantId, plannedOn, id, list.from, list.before, list.limit],
  );
  return rows;
}

export async function updateRound(tx: TenantTransaction, round: Pick<RoundRow, 'id' | 'name' | 'planned_on' | 'collector_id' | 'state' | 'cancelled_because'>): Promise<void> {
  await tx.sql('UPDATE collection_round SET name = $3, planned_on = $4, collector_id = $5, state = $6, cancelled_because = $7 WHERE tenant_id = $1 AND id = $2', [
    tx.tenantId,
    round.id,
    round.name,
    round.planned_on,
    round.collector_id,
    round.state,
    round.cancelled_because,
  ]);
}

export type StopRow = { round_id: string; site_id: string; site_code: string; site_name: string; collected_on: LocalDate | null; planned_again_on: LocalDate | null };

export async function selectStops(tx: TenantTransaction, roundIds: readonly string[]): Promise<StopRow[]> {
  const { rows } = await tx.sql<StopRow>(
    `SELECT s.round_id, s.site_id, site.code AS site_code, site.name AS site_name, ${collectedOn} AS collected_on, ${plannedAgain()} AS planned_again_on
       FROM collection_round_stop s
       JOIN collection_round r ON r.tenant_id = s.tenant_id AND r.id = s.round_id
       JOIN site ON site.tenant_id = s.tenant_id AND site.id = s.site_id
      WHERE s.tenant_id = $1 AND s.round_id = ANY ($2::uuid[])
      ORDER BY s.round_id, s.position`,
    [tx.tenantId, roundIds],
  );
  return rows;
}

export type PersonOnDay = { employed_by: 'operator' | 'site'; there: boolean };

/** Whether the person may be given a round of that day. */
export async function selectCollector(tx: TenantTransaction, query: { readonly personId: string; readonly day: string }): Promise<PersonOnDay | null> {
  const { rows } = await tx.sql<PersonOnDay>(
    `SELECT employed_by, started_on <= $3::date AND (left_on IS NULL OR left_on > $3::date) AS there FROM person WHERE tenant_id = $1 AND id = $2`,
    [tx.tenantId, query.personId, query.day],
  );
  return rows[0] ?? null;
}

export type SiteOnDay = { id: string; code: string; open: boolean };

export async function selectSitesOnDay(tx: TenantTransaction, query: { readonly siteIds: readonly string[]; readonly day: string }): Promise<SiteOnDay[]> {
  const { rows } = await tx.sql<SiteOnDay>(
    `SELECT id, code, opened_on <= $3::date AND (closed_on IS NULL OR closed_on >= $3::date) AS open FROM site WHERE tenant_id = $1 AND id = ANY ($2::uuid[])`,
    [tx.tenantId, query.siteIds, query.day],
  );
  return rows;
}

export type OwnStopRow = {
  round_id: string;
  round_name: string;
  planned_on: LocalDate;
  site_id: string;
  site_code: string;
  site_name: string;
  address: string[];
  currency: string;
  time_zone: string;
  collected: boolean;
  with_office: boolean;
  /** Of the terms that hold today; null where none do. */
  basis: 'counted' | 'metered' | null;
  token_ids: string[] | null;
};

/** Rounds older than that are done or forgotten, and no longer on the phone. */
const LATEST_DAYS = 14;

/** What the agreement that holds at the stop's site today says. */
const termsOfSite = `(SELECT v.terms FROM agreement a JOIN agreement_version v ON v.tenant_id = a.tenant_id AND v.agreement_id = a.id
                WHERE a.tenant_id = r.tenant_id AND a.site_id = site.id AND a.started_on <= ($3::timestamptz AT TIME ZONE site.time_zone)::date
                  AND (a.ended_on IS NULL OR a.ended_on > ($3::timestamptz AT TIME ZONE site.time_zone)::date)
                  AND v.withdrawn_at IS NULL AND v.effective_from <= ($3::timestamptz AT TIME ZONE site.time_zone)::date
                ORDER BY v.effective_from DESC LIMIT 1)`;

/** Stops of somebody's rounds of today, and of the two weeks before as far as nobody went there. */
export async function selectOwnStops(tx: TenantTransaction, query: { readonly personId: string; readonly now: Date }): Promise<OwnStopRow[]> {
  const { rows } = await tx.sql<OwnStopRow>(
    `SELECT stop.*, stop.terms ->> 'basis' AS basis, ARRAY(SELECT token ->> 'tokenId' FROM jsonb_array_elements(stop.terms -> 'tokens') AS token) AS token_ids FROM (
       SELECT r.id AS round_id, r.name AS round_name, r.planned_on, s.position, site.id AS site_id, site.code AS site_code, site.name AS site_name, site.address,
              site.currency, site.time_zone, ${collectedOn} IS NOT NULL AS collected, ${withOffice} AS with_office, ($3::timestamptz AT TIME ZONE site.time_zone)::date AS today,
              ${termsOfSite} AS terms
         FROM collection_round r
         JOIN collection_round_stop s ON s.tenant_id = r.tenant_id AND s.round_id = r.id
         JOIN site ON site.tenant_id = s.tenant_id AND site.id = s.site_id
        WHERE r.tenant_id = $1 AND r.collector_id = $2 AND r.state = 'planned') stop
      WHERE planned_on = today OR (planned_on < today AND planned_on >= today - ${LATEST_DAYS} AND NOT collected)
      ORDER BY planned_on, round_id, position`,
    [tx.tenantId, query.personId, query.now],
  );
  return rows;
}

export type MachineAtStopRow = { site_id: string; machine_id: string; tag: string; game: string | null; leaves: boolean; meter_id: string | null; label: string | null; digits: number | null };

/** Machines that stand at the sites now or leave them today, with the meters in them: what there is to read, and nothing of what was read. */
export async function selectMachinesAtStops(tx: TenantTransaction, query: { readonly siteIds: readonly string[]; readonly now: Date }): Promise<MachineAtStopRow[]> {
  const { rows } = await tx.sql<MachineAtStopRow>(
    `SELECT p.site_id, m.id AS machine_id, m.tag, game.title AS game, p.removed_on IS NOT NULL AND p.removed_on = ($3::timestamptz AT TIME ZONE site.time_zone)::date AS leaves, meter.id AS meter_id, meter.label, meter.digits
       FROM placement p
       JOIN site ON site.tenant_id = p.tenant_id AND site.id = p.site_id
       JOIN machine m ON m.tenant_id = p.tenant_id AND m.id = p.machine_id
       LEFT JOIN installation i ON i.tenant_id = m.tenant_id AND i.machine_id = m.id
         AND i.installed_on <= ($3::timestamptz AT TIME ZONE site.time_zone)::date AND (i.removed_on IS NULL OR i.removed_on > ($3::timestamptz AT TIME ZONE site.time_zone)::date)
       LEFT JOIN game ON game.tenant_id = i.tenant_id AND game.id = i.game_id
       LEFT JOIN counter_board b ON b.tenant_id = m.tenant_id AND b.machine_id = m.id AND b.fitted_at <= $3 AND (b.removed_at IS NULL OR b.removed_at > $3)
       LEFT JOIN meter ON meter.tenant_id = b.tenant_id AND meter.board_id = b.id
      WHERE p.tenant_id = $1 AND p.site_id = ANY ($2::uuid[])
        AND p.placed_on <= ($3::timestamptz AT TIME ZONE site.time_zone)::date
        AND (p.removed_on IS NULL OR p.removed_on > ($3::timestamptz AT TIME ZONE site.time_zone)::date
          OR (p.removed_on = ($3::timestamptz AT TIME ZONE site.time_zone)::date AND NOT EXISTS (
                SELECT FROM placement again WHERE again.tenant_id = $1 AND again.machine_id = p.machine_id AND again.site_id = p.site_id
                   AND again.placed_on = p.removed_on AND (again.removed_on IS NULL OR again.removed_on > p.removed_on))))
      ORDER BY p.site_id, m.tag, meter.label`,
    [tx.tenantId, query.siteIds, query.now],
  );
  return rows;
}
