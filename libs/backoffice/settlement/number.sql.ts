import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { bookedOn, takenBack } from './standing.sql';

export type ReviewedRow = {
  readonly id: string;
  readonly agreement_id: string;
  readonly site_id: string;
  readonly period_id: string;
  readonly starts_on: string;
  readonly ends_before: string;
  /** Under which the books get it. */
  readonly booked_on: LocalDate;
  readonly currency: string;
  readonly engine_version: string;
  readonly inputs: string;
  readonly inputs_digest: Buffer;
  readonly result: string;
};

/** The periods of settlements, whatever their state. */
export async function periodsOfSettlements(tx: TenantTransaction, settlementIds: readonly string[]): Promise<string[]> {
  const { rows } = await tx.sql<{ period_id: string }>('SELECT DISTINCT period_id FROM settlement WHERE tenant_id = $1 AND id = ANY ($2::uuid[])', [
    tx.tenantId,
    settlementIds,
  ]);
  return rows.map((row) => row.period_id);
}

/** Locks those that are in the state, by site code: the order in which people look for them. */
export async function lockSettlements(tx: TenantTransaction, query: { ids: readonly string[]; state: 'draft' | 'reviewed' }): Promise<ReviewedRow[]> {
  const { rows } = await tx.sql<ReviewedRow>(
    `WITH taken_back AS MATERIALIZED (${takenBack}), locked AS (
       SELECT id, agreement_id, site_id, period_id, starts_on, ends_before, currency, engine_version, inputs, inputs_digest, result FROM settlement
        WHERE tenant_id = $1 AND id = ANY ($2::uuid[]) AND state = $3 ORDER BY id FOR UPDATE)
     SELECT locked.*, ${bookedOn('locked')} AS booked_on FROM locked JOIN site s ON s.tenant_id = $1 AND s.id = locked.site_id ORDER BY s.code, locked.starts_on, locked.id`,
    [tx.tenantId, query.ids, query.state],
  );
  return rows;
}

export type OperatorRow = { readonly code: string; readonly time_zone: string };

export async function readOperator(tx: TenantTransaction): Promise<OperatorRow> {
  const { rows } = await tx.sql<OperatorRow>('SELECT code, time_zone FROM operator WHERE tenant_id = $1', [tx.tenantId]);
  const operator = rows[0];
  if (operator === undefined) throw new Error('the operator of a transaction is not there');
  return operator;
}

/**
 * Takes the next serials of a year and locks the counter until the end of the transaction: whoever numbers next waits for
 * this one to commit, and after a rollback gets the same serials. So the series has no gap.
 */
export async function takeSerials(tx: TenantTransaction, wanted: { year: number; count: number }): Promise<number> {
  const { rows } = await tx.sql<{ first: number }>(
    `INSERT INTO number_counter (tenant_id, series, year, next_serial) VALUES ($1, 'statement', $2, 1 + $3::integer)
     ON CONFLICT (tenant_id, series, year) DO UPDATE SET next_serial = number_counter.next_serial + $3
     RETURNING next_serial - $3 AS first`,
    [tx.tenantId, wanted.year, wanted.count],
  );
  const first = rows[0]?.first;
  if (first === undefined) throw new Error('the number counter gave no serial');
  return first;
}

export type NumberedRow = {
  readonly id: string;
  readonly serial: number;
  readonly number: string;
  readonly digest: Buffer;
  readonly bookedOn: LocalDate;
  /** By what its statement is asked about. */
  readonly standing: { readonly salt: Buffer; readonly digest: Buffer };
};

export async function markNumbered(
  tx: TenantTransaction,
  numbered: { rows: readonly NumberedRow[]; year: number; issuedOn: string; logSize: number; logRoot: Uint8Array; now: Date },
): Promise<void> {
  const { rows, year, issuedOn, logSize, logRoot, now } = numbered;
  await tx.sql(
    `UPDATE settlement s
        SET state = 'numbered', number_year = $2, number_serial = n.serial, number = n.number, issued_on = $3, digest = n.digest,
            accounting_date = n.booked_on, log_size = $4, log_root = $5, numbered_at = $6,
            standing_salt = n.standing_salt, standing_digest = n.standing_digest
       FROM unnest($7::uuid[], $8::integer[], $9::text[], $10::bytea[], $11::date[], $12::bytea[], $13::bytea[])
         AS n (id, serial, number, digest, booked_on, standing_salt, standing_digest)
      WHERE s.tenant_id = $1 AND s.id = n.id`,
    [
      tx.tenantId,
      year,
      issuedOn,
      logSize,
      logRoot,
      now,
      rows.map((row) => row.id),
      rows.map((row) => row.serial),
      rows.map((row) => row.number),
      rows.map((row) => row.digest),
      rows.map((row) => row.bookedOn),
      rows.map((row) => row.standing.salt),
      rows.map((row) => row.standing.digest),
    ],
  );
}

/** Says which settlement took in which late change. The round counts those that were reversed since; each is taken in once per round. */
export async function settleLateChanges(tx: TenantTransaction, settled: readonly { lateChangeId: string; settlementId: string }[]): Promise<void> {
  if (settled.length === 0) return;
  await tx.sql(
    `INSERT INTO late_change_settled (tenant_id, late_change_id, round, settlement_id)
     SELECT $1, s.late_change_id, 1 + (SELECT count(*) FROM late_change_settled d WHERE d.tenant_id = $1 AND d.late_change_id = s.late_change_id), s.settlement_id
       FROM unnest($2::uuid[], $3::uuid[]) AS s (late_change_id, settlement_id)`,
    [tx.tenantId, settled.map((each) => each.lateChangeId), settled.map((each) => each.settlementId)],
  );
}
