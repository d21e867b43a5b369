import { randomUUID } from 'node:crypto';
import { asTenant, type TestDatabase } from './database';

let serial = 0;

/**
 * Writes a period of an agreement with a settlement that is numbered, as far as other use cases look at it: for tests of
 * what happens to a period once nothing in it can change any more. Returns the period's id.
 */
export async function writeNumberedPeriod(
  db: Pick<TestDatabase, 'database'>,
  period: { tenantId: string; agreementId: string; siteId: string; startsOn: string; endsBefore: string },
): Promise<string> {
  const { tenantId, agreementId, siteId, startsOn, endsBefore } = period;
  serial += 1;
  return asTenant(db, tenantId, async (tx) => {
    const { rows } = await tx.sql<{ id: string }>(
      `INSERT INTO period (tenant_id, id, agreement_id, site_id, starts_on, ends_before) VALUES ($1, $2, $3, $4, $5, $6)
       ON CONFLICT (tenant_id, agreement_id, starts_on) DO UPDATE SET ends_before = excluded.ends_before RETURNING id`,
      [tenantId, randomUUID(), agreementId, siteId, startsOn, endsBefore],
    );
    const periodId = rows[0]?.id ?? '';
    await tx.sql(
      `INSERT INTO settlement (tenant_id, id, agreement_id, site_id, period_id, starts_on, ends_before, kind, state, currency, engine_version,
                               inputs, inputs_digest, result, result_digest, carries, takings_minor, refunds_minor, tax_minor, charges_minor,
                               operator_share_minor, site_share_minor, earlier_minor, payable_minor, number_year, number_serial, number,
                               issued_on, digest, drafted_at, reviewed_at, reviewed_by, numbered_at, accounting_date)
       VALUES ($1, $2, $3, $4, $5, $6, $7, 'regular', 'numbered', (SELECT currency FROM site WHERE tenant_id = $1 AND id = $4), '1',
               '{}', '\\x00', '{}', '\\x00', '{}', 0, 0, 0, 0, 0, 0, 0, 0, 2026, $8, $9, $7, '\\x00', now(), now(), 'system:test', now(), $7::date - 1)`,
      [tenantId, randomUUID(), agreementId, siteId, periodId, startsOn, endsBefore, serial, `TEST-2026-${serial}`],
    );
    return periodId;
  });
}

/** What was noted as changed in settled periods: `2026-01-01 terms`, by period and cause. */
export async function readLateChanges(db: Pick<TestDatabase, 'database'>, agreement: { tenantId: string; agreementId: string }): Promise<string[]> {
  const { rows } = await asTenant(db, agreement.tenantId, (tx) =>
    tx.sql<{ starts_on: string; cause: string }>(
      `SELECT p.starts_on, l.cause FROM late_change l JOIN period p ON p.tenant_id = l.tenant_id AND p.id = l.period_id
        WHERE p.agreement_id = $1 ORDER BY p.starts_on, l.id`,
      [agreement.agreementId],
    ),
  );
  return rows.map((row) => `${row.starts_on} ${row.cause}`);
}
