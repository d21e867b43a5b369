import type { TenantTransaction } from '#database/tenant';
import type { LateCause } from '../agreement/late-change.sql';
import type { LocalDate } from '#domain/calendar/local-date';
import { stands as readingStands } from '../meter/reading.sql';
import { isReversed, stands } from '../settlement/standing.sql';

export type NumberedRow = {
  readonly id: string;
  readonly site_id: string;
  readonly number: string;
  readonly issued_on: string;
  readonly numbered_at: Date;
  readonly ends_before: string;
  readonly inputs: string;
  readonly result: string;
  readonly digest: Buffer;
  readonly log_size: bigint;
  readonly log_root: Buffer;
  readonly standing_salt: Buffer | null;
  readonly site_code: string;
  readonly site_name: string;
  readonly site_address: readonly string[];
  readonly payee_id: string;
  readonly payee_name: string;
  readonly payee_address: readonly string[];
  readonly payee_locale: string;
  readonly operator_name: string;
  readonly operator_address: readonly string[];
  readonly paper: 'A4' | 'Letter';
  readonly verification_address: string | null;
  readonly payment_days: number | null;
  readonly statements_stamped: boolean;
};

/** Numbered settlements that wait for their statement, with whom they are about. */
export async function readNumbered(tx: TenantTransaction, settlementIds: readonly string[]): Promise<NumberedRow[]> {
  const { rows } = await tx.sql<NumberedRow>(
    `SELECT x.id, x.site_id, x.number, x.issued_on, x.numbered_at, x.ends_before, x.inputs, x.result, x.digest, x.log_size, x.log_root, x.standing_salt,
            s.code AS site_code, s.name AS site_name, s.address AS site_address,
            p.id AS payee_id, p.name AS payee_name, p.address AS payee_address, p.locale AS payee_locale,
            o.name AS operator_name, o.address_lines AS operator_address, o.paper, o.verification_address, o.payment_days, o.statements_stamped
       FROM settlement x
       JOIN site s ON s.tenant_id = x.tenant_id AND s.id = x.site_id
       JOIN agreement a ON a.tenant_id = x.tenant_id AND a.id = x.agreement_id
       JOIN party p ON p.tenant_id = x.tenant_id AND p.id = a.party_id
       JOIN operator o ON o.tenant_id = x.tenant_id
      WHERE x.tenant_id = $1 AND x.id = ANY ($2::uuid[]) AND x.state = 'numbered'
      ORDER BY x.number_serial`,
    [tx.tenantId, settlementIds],
  );
  return rows;
}

export async function readPartyNames(tx: TenantTransaction, partyIds: readonly string[]): Promise<ReadonlyMap<string, string>> {
  const { rows } = await tx.sql<{ id: string; name: string }>('SELECT id::text, name FROM party WHERE tenant_id = $1 AND id::text = ANY ($2::text[])', [
    tx.tenantId,
    partyIds,
  ]);
  return new Map(rows.map((row) => [row.id, row.name]));
}

/** The game in each machine on the last day of a period, by settlement and machine. */
export async function readGames(
  tx: TenantTransaction,
  wanted: readonly { settlementId: string; machineId: string; before: string }[],
): Promise<{ settlement_id: string; machine_id: string; title: string }[]> {
  const { rows } = await tx.sql<{ settlement_id: string; machine_id: string; title: string }>(
    `SELECT w.settlement_id, w.machine_id, g.title
       FROM unnest($2::uuid[], $3::uuid[], $4::date[]) AS w (settlement_id, machine_id, before_day)
       JOIN installation i ON i.tenant_id = $1 AND i.machine_id = w.machine_id
        AND daterange(i.installed_on, i.removed_on, '[)') @> (w.before_day - 1)
       JOIN game g ON g.tenant_id = i.tenant_id AND g.id = i.game_id`,
    [tx.tenantId, wanted.map((each) => each.settlementId), wanted.map((each) => each.machineId), wanted.map((each) => each.before)],
  );
  return rows;
}

/** Machines of which a box was counted at a collection at which none of their meters was read, by settlement. */
export async function readCountedWithoutReading(
  tx: TenantTransaction,
  wanted: readonly { settlementId: string; countId: string }[],
): Promise<{ settlement_id: string; machine_id: string }[]> {
  const { rows } = await tx.sql<{ settlement_id: string; machine_id: string }>(
    `SELECT DISTINCT w.settlement_id, b.machine_id
       FROM unnest($2::uuid[], $3::uuid[]) AS w (settlement_id, count_id)
       JOIN box_count b ON b.tenant_id = $1 AND b.id = w.count_id
      WHERE NOT EXISTS (SELECT FROM meter_reading r WHERE r.tenant_id = $1 AND r.machine_id = b.machine_id AND r.collection_id = b.collection_id AND ${readingStands('r')})`,
    [tx.tenantId, wanted.map((each) => each.settlementId), wanted.map((each) => each.countId)],
  );
  return rows;
}

export type MeterReadingRow = {
  readonly settlement_id: string;
  readonly machine_id: string;
  readonly label: string;
  readonly before_value: bigint | null;
  readonly last_value: bigint;
  readonly read_on: LocalDate;
};

/** Of each meter that was read where boxes of these counts were emptied, by machine and label: the last reading, and the one before the first. */
export async function readMeterReadings(tx: TenantTransaction, wanted: readonly { settlementId: string; countId: string }[]): Promise<MeterReadingRow[]> {
  const { rows } = await tx.sql<MeterReadingRow>(
    `WITH emptied AS (
       SELECT DISTINCT w.settlement_id, b.machine_id, b.collection_id
         FROM unnest($2::uuid[], $3::uuid[]) AS w (settlement_id, count_id) JOIN box_count b ON b.tenant_id = $1 AND b.id = w.count_id),
     taken AS (
       SELECT e.settlement_id, r.machine_id, r.meter_id, min(r.happened_at) AS first_at, max(r.happened_at) AS last_at
         FROM emptied e JOIN meter_reading r ON r.tenant_id = $1 AND r.machine_id = e.machine_id AND r.collection_id = e.collection_id AND ${readingStands('r')}
        GROUP BY 1, 2, 3)
     SELECT t.settlement_id, t.machine_id, m.label, earlier.value AS before_value, last.value AS last_value, last.read_on
       FROM taken t JOIN machine ON machine.tenant_id = $1 AND machine.id = t.machine_id JOIN meter m ON m.tenant_id = $1 AND m.id = t.meter_id
       CROSS JOIN LATERAL (
         SELECT r.value, c.local_date AS read_on FROM meter_reading r JOIN collection c ON c.tenant_id = $1 AND c.id = r.collection_id
          WHERE r.tenant_id = $1 AND r.meter_id = t.meter_id AND r.happened_at = t.last_at AND ${readingStands('r')} LIMIT 1) last
       LEFT JOIN LATERAL (
         SELECT r.value FROM meter_reading r
          WHERE r.tenant_id = $1 AND r.meter_id = t.meter_id AND r.happened_at < t.first_at AND ${readingStands('r')}
          ORDER BY r.happened_at DESC, array_position(ARRAY['before', 'only', 'after'], r.phase) DESC LIMIT 1) earlier ON true
      ORDER BY t.settlement_id, machine.tag, m.label`,
    [tx.tenantId, wanted.map((each) => each.settlementId), wanted.map((each) => each.countId)],
  );
  return rows;
}

export type EarlierRow = {
  readonly settlement_id: string;
  readonly period_id: string;
  /** The statement that first settled the period; null where there was nothing to settle then. */
  readonly number: string | null;
  readonly causes: readonly LateCause[];
};

/** For the earlier periods in settlements: which statement settled them first, and what changed since. */
export async function readEarlier(tx: TenantTransaction, wanted: readonly { settlementId: string; periodId: string }[]): Promise<EarlierRow[]> {
  const { rows } = await tx.sql<EarlierRow>(
    `SELECT w.settlement_id, w.period_id, first.number,
            coalesce((SELECT array_agg(DISTINCT l.cause) FROM late_change l JOIN late_change_settled done ON done.tenant_id = l.tenant_id AND done.late_change_id = l.id
                       WHERE l.tenant_id = $1 AND l.period_id = w.period_id AND done.settlement_id = w.settlement_id), '{}') AS causes
       FROM unnest($2::uuid[], $3::uuid[]) AS w (settlement_id, period_id)
       LEFT JOIN LATERAL (SELECT x.number FROM settlement x WHERE x.tenant_id = $1 AND x.period_id = w.period_id AND x.number IS NOT NULL
                             AND NOT ${isReversed('x')} ORDER BY x.round LIMIT 1) first ON true`,
    [tx.tenantId, wanted.map((each) => each.settlementId), wanted.map((each) => each.periodId)],
  );
  return rows;
}

export type EarlierHeadRow = { readonly settlement_id: string; readonly number: string; readonly log_size: bigint; readonly log_root: Buffer };

/** The head on the statement numbered before, of the same agreement, for each settlement that has one. */
export async function readEarlierHeads(tx: TenantTransaction, settlementIds: readonly string[]): Promise<EarlierHeadRow[]> {
  const { rows } = await tx.sql<EarlierHeadRow>(
    `SELECT x.id AS settlement_id, before.number, before.log_size, before.log_root
       FROM settlement x
       JOIN LATERAL (SELECT b.number, b.log_size, b.log_root FROM settlement b
                      WHERE b.tenant_id = $1 AND b.agreement_id = x.agreement_id AND b.number IS NOT NULL
                        AND (b.number_year, b.number_serial) < (x.number_year, x.number_serial)
                      ORDER BY b.number_year DESC, b.number_serial DESC LIMIT 1) before ON true
      WHERE x.tenant_id = $1 AND x.id = ANY ($2::uuid[]) AND before.log_size IS NOT NULL`,
    [tx.tenantId, settlementIds],
  );
  return rows;
}

export type RecentRow = {
  readonly settlement_id: string;
  readonly starts_on: LocalDate;
  readonly ends_before: LocalDate;
  readonly net_takings_minor: bigint;
  readonly payable_minor: bigint;
};

/** The periods of the same agreement before each settlement, the oldest first, at most eleven, as those settlements that stand had them. */
export async function readRecent(tx: TenantTransaction, settlementIds: readonly string[]): Promise<RecentRow[]> {
  const { rows } = await tx.sql<RecentRow>(
    `SELECT x.id AS settlement_id, recent.starts_on, recent.ends_before, recent.takings_minor - recent.refunds_minor AS net_takings_minor, recent.payable_minor
       FROM settlement x
       JOIN LATERAL (SELECT b.starts_on, b.ends_before, b.takings_minor, b.refunds_minor, b.payable_minor FROM settlement b
                      WHERE b.tenant_id = $1 AND b.agreement_id = x.agreement_id AND b.starts_on < x.starts_on AND ${stands('b')}
                      ORDER BY b.starts_on DESC, b.round DESC LIMIT 11) recent ON true
      WHERE x.tenant_id = $1 AND x.id = ANY ($2::uuid[])
      ORDER BY x.id, recent.starts_on`,
    [tx.tenantId, settlementIds],
  );
  return rows;
}

export async function readNumbers(tx: TenantTransaction, settlementIds: readonly string[]): Promise<ReadonlyMap<string, string>> {
  const { rows } = await tx.sql<{ id: string; number: string }>(
    'SELECT id, number FROM settlement WHERE tenant_id = $1 AND id = ANY ($2::uuid[]) AND number IS NOT NULL',
    [tx.tenantId, settlementIds],
  );
  return new Map(rows.map((row) => [row.id, row.number]));
}
