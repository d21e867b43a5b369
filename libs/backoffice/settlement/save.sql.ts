import type { SettlementEvent } from '#contracts/settlement';
import type { TenantTransaction } from '#database/tenant';

/** A settlement that is written as a draft; texts are canonical JSON, digests SHA-256 of them. */
export type SettlementRow = {
  readonly id: string;
  readonly agreementId: string;
  readonly siteId: string;
  readonly periodId: string;
  readonly closeRunId: string | null;
  readonly startsOn: string;
  readonly endsBefore: string;
  readonly kind: string;
  readonly currency: string;
  readonly engineVersion: string;
  readonly inputs: string;
  readonly inputsDigest: Buffer;
  readonly result: string;
  readonly resultDigest: Buffer;
  readonly carries: string;
} & SettlementFigures;

/** What lists show of a settlement, in minor units. */
export type SettlementFigures = {
  readonly takingsMinor: bigint;
  readonly refundsMinor: bigint;
  readonly taxMinor: bigint;
  readonly chargesMinor: bigint;
  readonly operatorShareMinor: bigint;
  readonly siteShareMinor: bigint;
  readonly earlierMinor: bigint;
  readonly payableMinor: bigint;
};

export type LineRow = {
  readonly settlementId: string;
  readonly lineNumber: number;
  readonly periodStartsOn: string;
  readonly step: string;
  readonly kind: string;
  readonly machineId: string | null;
  readonly party: string | null;
  readonly amountMinor: bigint;
};

/**
 * The long texts go as a parameter each, the rest as one array per column: an array of them would be escaped here and
 * taken apart there, which took longer than everything else together (2,000 settlements of 32 kB: 5 s of 8 s). The round
 * comes after those of the same period, all of which were reversed: the caller has seen that under the period's lock.
 */
export async function insertSettlements(tx: TenantTransaction, written: { rows: readonly SettlementRow[]; draftedAt: Date }): Promise<void> {
  const { rows, draftedAt } = written;
  const values: unknown[] = [tx.tenantId, draftedAt];
  const parameter = (value: unknown): string => `$${values.push(value)}`;
  const column = (name: keyof SettlementRow): string => parameter(rows.map((row) => row[name]));
  const texts = (name: 'inputs' | 'result' | 'carries'): string => `ARRAY[${rows.map((row) => parameter(row[name])).join(',')}]`;
  await tx.sql(
    `INSERT INTO settlement (tenant_id, state, drafted_at, round, id, agreement_id, site_id, period_id, close_run_id, starts_on, ends_before, kind, currency,
            engine_version, inputs, inputs_digest, result, result_digest, carries, takings_minor, refunds_minor, tax_minor, charges_minor,
            operator_share_minor, site_share_minor, earlier_minor, payable_minor)
     SELECT $1, 'draft', $2,
            1 + (SELECT coalesce(max(x.round), 0) FROM settlement x WHERE x.tenant_id = $1 AND x.agreement_id = s.agreement_id AND x.starts_on = s.starts_on), s.*
       FROM unnest(${column('id')}::uuid[], ${column('agreementId')}::uuid[], ${column('siteId')}::uuid[], ${column('periodId')}::uuid[],
                   ${column('closeRunId')}::uuid[], ${column('startsOn')}::date[], ${column('endsBefore')}::date[], ${column('kind')}::text[],
                   ${column('currency')}::text[], ${column('engineVersion')}::text[], ${texts('inputs')}::text[], ${column('inputsDigest')}::bytea[],
                   ${texts('result')}::text[], ${column('resultDigest')}::bytea[], ${texts('carries')}::text[], ${column('takingsMinor')}::bigint[],
                   ${column('refundsMinor')}::bigint[], ${column('taxMinor')}::bigint[], ${column('chargesMinor')}::bigint[],
                   ${column('operatorShareMinor')}::bigint[], ${column('siteShareMinor')}::bigint[], ${column('earlierMinor')}::bigint[],
                   ${column('payableMinor')}::bigint[]) AS s (id, agreement_id, site_id, period_id, close_run_id, starts_on)`,
    values,
  );
}

export async function insertLines(tx: TenantTransaction, rows: readonly LineRow[]): Promise<void> {
  if (rows.length === 0) return;
  await tx.sql(
    `INSERT INTO settlement_line (tenant_id, settlement_id, line_number, period_starts_on, step, kind, machine_id, party, amount_minor)
     SELECT $1, l.* FROM unnest($2::uuid[], $3::integer[], $4::date[], $5::text[], $6::text[], $7::uuid[], $8::text[], $9::bigint[]) AS l`,
    [
      tx.tenantId,
      rows.map((row) => row.settlementId),
      rows.map((row) => row.lineNumber),
      rows.map((row) => row.periodStartsOn),
      rows.map((row) => row.step),
      rows.map((row) => row.kind),
      rows.map((row) => row.machineId),
      rows.map((row) => row.party),
      rows.map((row) => row.amountMinor),
    ],
  );
}

/** One event per settlement, all alike. `by` is whoever asked for it, which may not be who carries it out. */
export async function insertEvents(
  tx: TenantTransaction,
  event: { ids: readonly string[]; settlementIds: readonly string[]; kind: SettlementEvent; note?: string; at: Date; by: string },
): Promise<void> {
  await tx.sql(
    `INSERT INTO settlement_event (tenant_id, id, settlement_id, kind, note, happened_at, happened_by)
     SELECT $1, e.id, e.settlement_id, $4, $5, $6, $7 FROM unnest($2::uuid[], $3::uuid[]) AS e (id, settlement_id)`,
    [tx.tenantId, event.ids, event.settlementIds, event.kind, event.note ?? null, event.at, event.by],
  );
}

/** Puts new figures into a draft; a reviewed settlement becomes a draft again. */
export async function updateDraft(tx: TenantTransaction, written: { row: SettlementRow; draftedAt: Date }): Promise<void> {
  const { row, draftedAt } = written;
  await tx.sql(
    `UPDATE settlement
        SET state = 'draft', reviewed_at = NULL, reviewed_by = NULL, drafted_at = $3, kind = $4, engine_version = $5, inputs = $6, inputs_digest = $7,
            result = $8, result_digest = $9, carries = $10, takings_minor = $11, refunds_minor = $12, tax_minor = $13, charges_minor = $14,
            operator_share_minor = $15, site_share_minor = $16, earlier_minor = $17, payable_minor = $18
      WHERE tenant_id = $1 AND id = $2`,
    [
      tx.tenantId,
      row.id,
      draftedAt,
      row.kind,
      row.engineVersion,
      row.inputs,
      row.inputsDigest,
      row.result,
      row.resultDigest,
      row.carries,
      row.takingsMinor,
      row.refundsMinor,
      row.taxMinor,
      row.chargesMinor,
      row.operatorShareMinor,
      row.siteShareMinor,
      row.earlierMinor,
      row.payableMinor,
    ],
  );
  // After the state: lines can only go while their settlement is a draft.
  await tx.sql('DELETE FROM settlement_line WHERE tenant_id = $1 AND settlement_id = $2', [tx.tenantId, row.id]);
}
