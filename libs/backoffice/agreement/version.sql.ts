import type { TermsDocument } from '#contracts/terms';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { onlyRow } from '../rows';

export type VersionRow = {
  id: string;
  agreement_id: string;
  effective_from: LocalDate;
  terms: TermsDocument;
  reason: string;
  recorded_at: Date;
  withdrawn_at: Date | null;
};

const columns = 'id, agreement_id, effective_from, terms, reason, recorded_at, withdrawn_at';

export async function insertVersion(tx: TenantTransaction, version: Omit<VersionRow, 'withdrawn_at'>): Promise<VersionRow> {
  const { rows } = await tx.sql<VersionRow>(
    `INSERT INTO agreement_version (tenant_id, id, agreement_id, effective_from, terms, reason, recorded_at)
     VALUES ($1, $2, $3, $4, $5, $6, $7) RETURNING ${columns}`,
    [tx.tenantId, version.id, version.agreement_id, version.effective_from, JSON.stringify(version.terms), version.reason, version.recorded_at],
  );
  return onlyRow(rows);
}

/** Versions that stand, by the day from which they hold. */
export async function selectStandingVersions(tx: TenantTransaction, agreementId: string): Promise<VersionRow[]> {
  const { rows } = await tx.sql<VersionRow>(
    `SELECT ${columns} FROM agreement_version WHERE tenant_id = $1 AND agreement_id = $2 AND withdrawn_at IS NULL ORDER BY effective_from`,
    [tx.tenantId, agreementId],
  );
  return rows;
}

export async function withdrawVersion(tx: TenantTransaction, version: { id: string; now: Date }): Promise<void> {
  await tx.sql('UPDATE agreement_version SET withdrawn_at = $3 WHERE tenant_id = $1 AND id = $2', [tx.tenantId, version.id, version.now]);
}

/** Periods of the agreement that have been cut, from the one that contains the day. */
export async function selectPeriodsFrom(tx: TenantTransaction, agreement: { id: string; from: LocalDate }): Promise<{ starts_on: LocalDate; ends_before: LocalDate }[]> {
  const { rows } = await tx.sql<{ starts_on: LocalDate; ends_before: LocalDate }>(
    `SELECT starts_on, ends_before FROM period WHERE tenant_id = $1 AND agreement_id = $2 AND ends_before > $3::date ORDER BY starts_on`,
    [tx.tenantId, agreement.id, agreement.from],
  );
  return rows;
}

export async function selectVersions(
  tx: TenantTransaction,
  list: { agreementId: string; after: readonly [effectiveFrom: string, id: string] | null; limit: number; withdrawn: boolean },
): Promise<VersionRow[]> {
  const [effectiveFrom, id] = list.after ?? [null, null];
  const { rows } = await tx.sql<VersionRow>(
    `SELECT ${columns} FROM agreement_version
      WHERE tenant_id = $1 AND agreement_id = $2
        AND ($3::date IS NULL OR (effective_from, id) < ($3, $4::uuid))
        AND ($5 OR withdrawn_at IS NULL)
      ORDER BY effective_from DESC, id DESC LIMIT $6`,
    [tx.tenantId, list.agreementId, effectiveFrom, id, list.withdrawn, list.limit + 1],
  );
  return rows;
}
