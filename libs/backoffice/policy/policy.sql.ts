import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { RelaxedRecord } from '#contracts/policy';

export type PolicyRow = {
  id: string;
  effective_from: Date;
  direct_hand_over: boolean;
  acknowledge_within_hours: number;
  inventory_every_months: 1 | 3 | 6;
  custodian_apart: boolean;
  one_person_review_on: LocalDate | null;
  weigh_within_percent: number;
  reason: string;
  recorded_at: Date;
  recorded_by: string;
};

const columns = `id, effective_from, direct_hand_over, acknowledge_within_hours, inventory_every_months, custodian_apart, one_person_review_on,
  weigh_within_percent, reason, recorded_at, recorded_by`;

/**
 * What holds at an instant, as the books knew it at another; null where nothing was decided. The last word counts: what was
 * decided earlier for a later day does not come back over it.
 */
export async function selectPolicyAt(tx: TenantTransaction, moment: { readonly at: Date; readonly knownAt: Date }): Promise<PolicyRow | null> {
  const { rows } = await tx.sql<PolicyRow>(
    `SELECT ${columns} FROM policy WHERE tenant_id = $1 AND effective_from <= $2 AND recorded_at <= $3 ORDER BY recorded_at DESC, effective_from DESC, id DESC LIMIT 1`,
    [tx.tenantId, moment.at, moment.knownAt],
  );
  return rows[0] ?? null;
}

/** Everything that held at one time or another from an instant up to another, as the books know it now. */
export async function selectPoliciesThrough(tx: TenantTransaction, span: { readonly from: Date; readonly to: Date }): Promise<PolicyRow[]> {
  const { rows } = await tx.sql<PolicyRow>(
    `WITH moment AS (SELECT $2::timestamptz AS at UNION SELECT effective_from FROM policy WHERE tenant_id = $1 AND effective_from > $2 AND effective_from <= $3)
     SELECT held.* FROM moment CROSS JOIN LATERAL (
       SELECT ${columns} FROM policy WHERE tenant_id = $1 AND effective_from <= moment.at AND recorded_at <= moment.at ORDER BY recorded_at DESC, effective_from DESC, id DESC LIMIT 1) held`,
    [tx.tenantId, span.from, span.to],
  );
  return rows;
}

/** The latest first. An owner decides now and then: there are few. */
export async function selectPolicies(tx: TenantTransaction): Promise<PolicyRow[]> {
  return (await tx.sql<PolicyRow>(`SELECT ${columns} FROM policy WHERE tenant_id = $1 ORDER BY effective_from DESC, recorded_at DESC, id DESC`, [tx.tenantId])).rows;
}

export async function insertPolicy(tx: TenantTransaction, policy: Omit<PolicyRow, 'recorded_by'>): Promise<void> {
  await tx.sql(`INSERT INTO policy (tenant_id, ${columns}) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)`, [
    tx.tenantId,
    policy.id,
    policy.effective_from,
    policy.direct_hand_over,
    policy.acknowledge_within_hours,
    policy.inventory_every_months,
    policy.custodian_apart,
    policy.one_person_review_on,
    policy.weigh_within_percent,
    policy.reason,
    policy.recorded_at,
    tx.actor,
  ]);
}

/** Labels a record with the rule that would have refused it. What is labelled already stays as it is: an inventory is counted copy by copy. */
export async function labelRelaxed(
  tx: TenantTransaction,
  record: { readonly recordId: string; readonly rule: RelaxedRecord['rule']; readonly kind: RelaxedRecord['kind']; readonly now: Date },
): Promise<void> {
  await tx.sql(
    'INSERT INTO relaxed_record (tenant_id, record_id, rule, kind, recorded_at, recorded_by) VALUES ($1, $2, $3, $4, $5, $6) ON CONFLICT (tenant_id, record_id, rule) DO NOTHING',
    [tx.tenantId, record.recordId, record.rule, record.kind, record.now, tx.actor],
  );
}

/** For a SELECT list: whether the row named is one that somebody made alone. */
export const madeAlone = (row: string, as = 'made_alone'): string =>
  `EXISTS (SELECT FROM relaxed_record alone WHERE alone.tenant_id = ${row}.tenant_id AND alone.record_id = ${row}.id AND alone.rule = 'second-person') AS ${as}`;
