import type { RefundClaimState } from '#contracts/refund-claim';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { answersNone, isOpen, saysSame } from './take-over.sql';

export type RefundClaimRow = {
  id: string;
  site_id: string;
  site_code: string;
  site_name: string;
  machine_id: string;
  machine_tag: string;
  number: string | null;
  refunded_on: LocalDate;
  currency: CurrencyCode;
  amount_minor: bigint;
  reason: string;
  state: RefundClaimState;
  collection_id: string | null;
  collection_state: string | null;
  collected_on: LocalDate | null;
  slip_minor: bigint | null;
  alike_on: LocalDate | null;
  in_sum_on: LocalDate | null;
  in_sum_minor: bigint | null;
  refused_at: Date | null;
  refused_by: string | null;
  refused_because: string | null;
  withdrawn_at: Date | null;
  recorded_at: Date;
  recorded_by: string;
};

const state = `CASE WHEN c.refund_slip_id IS NOT NULL THEN 'taken-over' WHEN c.refused_at IS NOT NULL THEN 'refused' WHEN c.withdrawn_at IS NOT NULL THEN 'withdrawn' ELSE 'open' END`;

/** Day of a visit at which another slip that says the same was presented, and no claim is known that says so. */
const alikeOn = `CASE WHEN num_nonnulls(c.refused_at, c.withdrawn_at) = 0 THEN (
         SELECT max(v.local_date) FROM refund_slip r JOIN collection v ON v.tenant_id = r.tenant_id AND v.id = r.collection_id
          WHERE r.tenant_id = c.tenant_id AND ${saysSame('c', 'r')} AND r.paid_by = 'site' AND v.state <> 'discarded'
            AND NOT EXISTS (SELECT FROM refund_slip newer WHERE newer.tenant_id = r.tenant_id AND newer.replaces_id = r.id)
            AND (SELECT sum(known.amount_minor) FROM refund_claim known WHERE known.tenant_id = r.tenant_id AND known.refund_slip_id = r.id) IS DISTINCT FROM r.amount_minor) END`;

/**
 * Day and amount of the first refund of a file since an open claim that answers none: it may be in that sum. A slip waits at the site until somebody presents it, so
 * that the sum may be of a later stay of the machine there; by the places, as the index has them.
 */
const inSum = `SELECT v.local_date AS day, r.amount_minor FROM refund_slip r JOIN collection v ON v.tenant_id = r.tenant_id AND v.id = r.collection_id
       WHERE ${isOpen('c')} AND r.tenant_id = c.tenant_id AND r.placement_id IN (SELECT p.id FROM placement p WHERE p.tenant_id = c.tenant_id AND p.site_id = c.site_id AND p.machine_id = c.machine_id) AND r.refunded_on >= c.refunded_on AND ${answersNone}
       ORDER BY v.happened_at, r.id LIMIT 1`;

const claims = `
  SELECT c.id, c.site_id, site.code AS site_code, site.name AS site_name, c.machine_id, m.tag AS machine_tag, c.number, c.refunded_on, c.currency, c.amount_minor, c.reason, ${state} AS state,
         v.id AS collection_id, v.state AS collection_state, v.local_date AS collected_on, r.amount_minor AS slip_minor, ${alikeOn} AS alike_on, in_sum.day AS in_sum_on, in_sum.amount_minor AS in_sum_minor,
         c.refused_at, c.refused_by, c.refused_because, c.withdrawn_at, c.recorded_at, c.recorded_by
    FROM refund_claim c JOIN site ON site.tenant_id = c.tenant_id AND site.id = c.site_id JOIN machine m ON m.tenant_id = c.tenant_id AND m.id = c.machine_id
    LEFT JOIN refund_slip r ON r.tenant_id = c.tenant_id AND r.id = c.refund_slip_id
    LEFT JOIN collection v ON v.tenant_id = c.tenant_id AND v.id = r.collection_id
    LEFT JOIN LATERAL (${inSum}) in_sum ON true`;

export async function insertClaim(
  tx: TenantTransaction,
  claim: Pick<RefundClaimRow, 'id' | 'site_id' | 'machine_id' | 'number' | 'refunded_on' | 'currency' | 'amount_minor' | 'reason'> & { readonly placementId: string; readonly now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO refund_claim (tenant_id, id, site_id, placement_id, machine_id, number, refunded_on, currency, amount_minor, reason, recorded_at, recorded_by)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)`,
    [tx.tenantId, claim.id, claim.site_id, claim.placementId, claim.machine_id, claim.number, claim.refunded_on, claim.currency, claim.amount_minor, claim.reason, claim.now, tx.actor],
  );
}

export async function selectClaim(tx: TenantTransaction, id: string): Promise<RefundClaimRow | null> {
  return (await tx.sql<RefundClaimRow>(`${claims} WHERE c.tenant_id = $1 AND c.id = $2`, [tx.tenantId, id])).rows[0] ?? null;
}

/** Holds a claim, so that its state is the same when it is changed. */
export async function lockClaim(tx: TenantTransaction, id: string): Promise<void> {
  await tx.sql('SELECT FROM refund_claim WHERE tenant_id = $1 AND id = $2 FOR UPDATE', [tx.tenantId, id]);
}

export async function updateRefused(tx: TenantTransaction, claim: { readonly id: string; readonly reason: string; readonly now: Date }): Promise<void> {
  await tx.sql('UPDATE refund_claim SET refused_at = $3, refused_by = $4, refused_because = $5 WHERE tenant_id = $1 AND id = $2', [tx.tenantId, claim.id, claim.now, tx.actor, claim.reason]);
}

export async function updateWithdrawn(tx: TenantTransaction, claim: { readonly id: string; readonly now: Date }): Promise<void> {
  await tx.sql('UPDATE refund_claim SET withdrawn_at = $3, withdrawn_by = $4 WHERE tenant_id = $1 AND id = $2', [tx.tenantId, claim.id, claim.now, tx.actor]);
}

type List = {
  readonly after: readonly [refundedOn: string, id: string] | null;
  readonly limit: number;
  readonly siteId: string | null;
  readonly state: RefundClaimState | null;
  readonly siteIds: readonly string[] | null;
};

/** The latest first. */
export async function selectClaims(tx: TenantTransaction, list: List): Promise<RefundClaimRow[]> {
  const [refundedOn, id] = list.after ?? [null, null];
  const { rows } = await tx.sql<RefundClaimRow>(
    `${claims}
      WHERE c.tenant_id = $1 AND ($2::date IS NULL OR (c.refunded_on, c.id) < ($2::date, $3::uuid))
        AND ($4::uuid IS NULL OR c.site_id = $4) AND ($5::text IS NULL OR ${state} = $5) AND ($6::uuid[] IS NULL OR c.site_id = ANY ($6))
      ORDER BY c.refunded_on DESC, c.id DESC LIMIT $7`,
    [tx.tenantId, refundedOn, id, list.siteId, list.state, list.siteIds, list.limit],
  );
  return rows;
}

export type OpenClaimRow = Pick<RefundClaimRow, 'id' | 'site_id' | 'machine_tag' | 'number' | 'refunded_on' | 'currency' | 'amount_minor'>;

/** Open claims of sites, the oldest first, for whoever goes there. */
export async function selectOpenClaims(tx: TenantTransaction, siteIds: readonly string[]): Promise<OpenClaimRow[]> {
  const { rows } = await tx.sql<OpenClaimRow>(
    `SELECT c.id, c.site_id, m.tag AS machine_tag, c.number, c.refunded_on, c.currency, c.amount_minor
       FROM refund_claim c JOIN machine m ON m.tenant_id = c.tenant_id AND m.id = c.machine_id
      WHERE c.tenant_id = $1 AND c.site_id = ANY ($2::uuid[]) AND ${isOpen('c')} ORDER BY c.refunded_on, c.id`,
    [tx.tenantId, siteIds],
  );
  return rows;
}

/** Open claims of sites for days before that one. */
export async function countOpenClaims(tx: TenantTransaction, { siteIds, before }: { readonly siteIds: readonly string[]; readonly before: LocalDate }): Promise<number> {
  const { rows } = await tx.sql<{ count: bigint }>(
    `SELECT count(*) AS count FROM refund_claim c WHERE c.tenant_id = $1 AND c.site_id = ANY ($2::uuid[]) AND c.refunded_on < $3 AND ${isOpen('c')}`,
    [tx.tenantId, siteIds, before],
  );
  return Number(rows[0]?.count ?? 0n);
}
