import type { MachineReports } from '#contracts/machine-report';
import type { TenantTransaction } from '#database/tenant';
import type { ReadingPhase } from '#domain/meters/meter';
import { emptiedBy } from '../collection/emptied.sql';
import { standingValues } from '../meter/price.sql';

export type TokenRow = { id: string; machine_id: string; machine_tag: string; made_at: Date; made_by: string; revoked_at: Date | null; revoked_by: string | null; last_report_at: Date | null };

export async function insertToken(tx: TenantTransaction, token: { readonly id: string; readonly machineId: string; readonly secretHash: Buffer; readonly now: Date }): Promise<void> {
  await tx.sql('INSERT INTO machine_token (tenant_id, id, machine_id, secret_hash, made_at, made_by) VALUES ($1, $2, $3, $4, $5, $6)', [tx.tenantId, token.id, token.machineId, token.secretHash, token.now, tx.actor]);
}

/** By machine, the latest first; only one when it is named. */
export async function selectTokens(tx: TenantTransaction, id: string | null): Promise<TokenRow[]> {
  const { rows } = await tx.sql<TokenRow>(
    `SELECT t.id, t.machine_id, m.tag AS machine_tag, t.made_at, t.made_by, t.revoked_at, t.revoked_by,
            greatest((SELECT max(r.received_at) FROM machine_report_reading r WHERE r.tenant_id = t.tenant_id AND r.machine_id = t.machine_id AND r.token_id = t.id),
                     (SELECT max(e.received_at) FROM machine_event e WHERE e.tenant_id = t.tenant_id AND e.machine_id = t.machine_id AND e.token_id = t.id)) AS last_report_at
       FROM machine_token t JOIN machine m ON m.tenant_id = t.tenant_id AND m.id = t.machine_id
      WHERE t.tenant_id = $1 AND ($2::uuid IS NULL OR t.id = $2)
      ORDER BY m.tag, t.made_at DESC, t.id DESC`,
    [tx.tenantId, id],
  );
  return rows;
}

/** Revoking twice keeps the first time. */
export async function markRevoked(tx: TenantTransaction, token: { readonly id: string; readonly now: Date }): Promise<void> {
  await tx.sql('UPDATE machine_token SET revoked_at = $3, revoked_by = $4 WHERE tenant_id = $1 AND id = $2 AND revoked_at IS NULL', [tx.tenantId, token.id, token.now, tx.actor]);
}

export async function selectReporter(tx: TenantTransaction, secretHash: Buffer): Promise<{ id: string; machine_id: string; machine_tag: string } | null> {
  const { rows } = await tx.sql<{ id: string; machine_id: string; machine_tag: string }>(
    `SELECT t.id, t.machine_id, m.tag AS machine_tag FROM machine_token t JOIN machine m ON m.tenant_id = t.tenant_id AND m.id = t.machine_id
      WHERE t.tenant_id = $1 AND t.secret_hash = $2 AND t.revoked_at IS NULL`,
    [tx.tenantId, secretHash],
  );
  return rows[0] ?? null;
}

export type ReportFrom = { readonly machineId: string; readonly tokenId: string; readonly now: Date };

/** How many were new. */
export async function insertReported(tx: TenantTransaction, readings: readonly { readonly meterId: string; readonly capacity: bigint; readonly readAt: Date; readonly value: bigint }[], from: ReportFrom): Promise<number> {
  const { rowCount } = await tx.sql(
    `INSERT INTO machine_report_reading (tenant_id, meter_id, read_at, value, machine_id, capacity, token_id, received_at)
     SELECT $1, r.meter_id, r.read_at, r.value, $2, r.capacity, $3, $4 FROM unnest($5::uuid[], $6::timestamptz[], $7::bigint[], $8::bigint[]) AS r (meter_id, read_at, value, capacity)
     ON CONFLICT DO NOTHING`,
    [tx.tenantId, from.machineId, from.tokenId, from.now, readings.map(({ meterId }) => meterId), readings.map(({ readAt }) => readAt), readings.map(({ value }) => value), readings.map(({ capacity }) => capacity)],
  );
  return rowCount;
}

/** How many were new. */
export async function insertEvents(tx: TenantTransaction, events: readonly { readonly kind: string; readonly happenedAt: string; readonly fault: string }[], from: ReportFrom): Promise<number> {
  const { rowCount } = await tx.sql(
    `INSERT INTO machine_event (tenant_id, machine_id, happened_at, kind, fault, token_id, received_at)
     SELECT $1, $2, e.happened_at, e.kind, e.fault, $3, $4 FROM unnest($5::timestamptz[], $6::text[], $7::text[]) AS e (happened_at, kind, fault)
     ON CONFLICT DO NOTHING`,
    [tx.tenantId, from.machineId, from.tokenId, from.now, events.map(({ happenedAt }) => happenedAt), events.map(({ kind }) => kind), events.map(({ fault }) => fault)],
  );
  return rowCount;
}

export type ReportedRow = { meter_id: string; label: string; value: bigint; read_at: Date; received_at: Date };

export async function selectReported(tx: TenantTransaction, list: { readonly machineId: string; readonly limit: number }): Promise<ReportedRow[]> {
  const { rows } = await tx.sql<ReportedRow>(
    `SELECT r.meter_id, m.label, r.value, r.read_at, r.received_at FROM machine_report_reading r JOIN meter m ON m.tenant_id = r.tenant_id AND m.id = r.meter_id
      WHERE r.tenant_id = $1 AND r.machine_id = $2 ORDER BY r.read_at DESC, m.label, r.value LIMIT $3`,
    [tx.tenantId, list.machineId, list.limit],
  );
  return rows;
}

export type EventRow = { kind: MachineReports['events'][number]['kind']; fault: string; happened_at: Date; received_at: Date };

export async function selectEvents(tx: TenantTransaction, list: { readonly machineId: string; readonly limit: number }): Promise<EventRow[]> {
  const { rows } = await tx.sql<EventRow>('SELECT kind, fault, happened_at, received_at FROM machine_event WHERE tenant_id = $1 AND machine_id = $2 ORDER BY happened_at DESC, kind, fault LIMIT $3', [tx.tenantId, list.machineId, list.limit]);
  return rows;
}

/** SQL: whether a reading was in the books at a moment, and neither corrected nor taken back by then. Names the tenant `$1`. */
const stoodAt = (row: string, moment: string): string =>
  `${row}.value IS NOT NULL AND ${row}.recorded_at <= ${moment} AND NOT EXISTS (SELECT FROM meter_reading newer WHERE newer.tenant_id = $1 AND newer.replaces_id = ${row}.id AND newer.recorded_at <= ${moment})`;

export type SinceRow = { placement_id: string; meter_id: string; machine_id: string; emptied_at: Date; emptied_value: bigint | null; latest_at: Date | null; latest_value: bigint | null; parting: readonly { readonly atMs: number; readonly value: string; readonly phase: ReadingPhase }[] };

/**
 * Of each cash box: the meters of the board in its machine, what they showed as the box was emptied last, and what was
 * reported last since; and what parts what was played in between: readings as a price changed or a board was open, and of a change of price that nobody read
 * the reports of the machine next to it. A machine without reports has no row.
 */
export async function selectSinceEmptied(tx: TenantTransaction, query: { readonly placementIds: readonly string[]; readonly now: Date; readonly knownAt: Date }): Promise<SinceRow[]> {
  const { rows } = await tx.sql<SinceRow>(
    `SELECT p.id AS placement_id, m.id AS meter_id, m.machine_id, last.happened_at AS emptied_at, emptied.value AS emptied_value, latest.read_at AS latest_at, latest.value AS latest_value, coalesce(parting.readings, '[]') AS parting
       FROM placement p
       CROSS JOIN LATERAL (
         SELECT c.id, c.happened_at ${emptiedBy('p', '$4')}
          WHERE c.happened_at <= $3 ORDER BY c.happened_at DESC LIMIT 1) last
       JOIN counter_board b ON b.tenant_id = $1 AND b.machine_id = p.machine_id AND b.fitted_at <= $3 AND (b.removed_at IS NULL OR b.removed_at > $3)
       JOIN meter m ON m.tenant_id = $1 AND m.board_id = b.id
       LEFT JOIN LATERAL (
         SELECT r.value FROM meter_reading r
          WHERE r.tenant_id = $1 AND r.meter_id = m.id AND r.collection_id = last.id AND ${stoodAt('r', '$4')} LIMIT 1) emptied ON true
       LEFT JOIN LATERAL (
         SELECT r.read_at, r.value FROM machine_report_reading r
          WHERE r.tenant_id = $1 AND r.meter_id = m.id AND r.read_at > last.happened_at AND r.read_at <= $3 AND r.received_at <= $4 ORDER BY r.read_at DESC, r.value DESC LIMIT 1) latest ON true
       LEFT JOIN LATERAL (
         SELECT jsonb_agg(jsonb_build_object('atMs', floor(extract(epoch FROM part.at) * 1000)::bigint, 'value', part.value::text, 'phase', part.phase)) AS readings
           FROM (SELECT r.happened_at AS at, r.value, r.phase FROM meter_reading r
                  WHERE r.tenant_id = $1 AND r.meter_id = m.id AND r.happened_at > last.happened_at AND r.happened_at < latest.read_at AND (r.occasion = 'price-change' OR r.phase <> 'only') AND ${stoodAt('r', '$4')}
                 UNION
                 SELECT beside.read_at, beside.value, 'only' FROM (${standingValues}) v
                  CROSS JOIN LATERAL (
                    (SELECT r.read_at, r.value FROM machine_report_reading r WHERE r.tenant_id = $1 AND r.meter_id = m.id AND r.read_at > last.happened_at AND r.read_at <= v.effective_at AND r.received_at <= $4 ORDER BY r.read_at DESC, r.value DESC LIMIT 1)
                    UNION ALL
                    (SELECT r.read_at, r.value FROM machine_report_reading r WHERE r.tenant_id = $1 AND r.meter_id = m.id AND r.read_at >= v.effective_at AND r.read_at < latest.read_at AND r.received_at <= $4 ORDER BY r.read_at, r.value LIMIT 1)) beside
                  WHERE v.tenant_id = $1 AND v.meter_id = m.id AND NOT v.withdrawn AND v.effective_at > last.happened_at AND v.effective_at < latest.read_at
                    AND NOT EXISTS (SELECT FROM meter_reading r WHERE r.tenant_id = $1 AND r.meter_id = m.id AND r.happened_at = v.effective_at AND ${stoodAt('r', '$4')})) part) parting ON true
      WHERE p.tenant_id = $1 AND p.id = ANY ($2::uuid[])
        AND EXISTS (SELECT FROM machine_report_reading any_report WHERE any_report.tenant_id = $1 AND any_report.machine_id = p.machine_id AND any_report.read_at > last.happened_at AND any_report.received_at <= $4)`,
    [tx.tenantId, query.placementIds, query.now, query.knownAt],
  );
  return rows;
}
