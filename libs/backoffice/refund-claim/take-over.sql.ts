import type { TenantTransaction } from '#database/tenant';
import { answeredBy } from './answered-by';
import type { NamedClaim } from './wrong-claim';

/** Neither taken over, refused nor taken back, as SQL. */
export const isOpen = (claim: string): string => `num_nonnulls(${claim}.refund_slip_id, ${claim}.refused_at, ${claim}.withdrawn_at) = 0`;

/** A claim and a slip are of the same machine, site and day, with the same amount, as SQL. Who paid is for the slip to say. */
export const saysSame = (claim: string, slip: string): string =>
  `(${claim}.site_id, ${claim}.machine_id, ${claim}.refunded_on, ${claim}.amount_minor) = (${slip}.site_id, ${slip}.machine_id, ${slip}.refunded_on, ${slip}.amount_minor)`;

/** Claims by id, held until the transaction ends, so that each is taken over once. */
export async function lockNamedClaims(tx: TenantTransaction, ids: readonly string[]): Promise<ReadonlyMap<string, NamedClaim>> {
  if (ids.length === 0) return new Map();
  const { rows } = await tx.sql<NamedClaim>(
    `SELECT c.id, c.site_id, c.machine_id, m.tag AS machine_tag, c.refunded_on, c.currency, c.amount_minor, ${isOpen('c')} AS is_open
       FROM refund_claim c JOIN machine m ON m.tenant_id = c.tenant_id AND m.id = c.machine_id
      WHERE c.tenant_id = $1 AND c.id = ANY ($2::uuid[]) ORDER BY c.id FOR UPDATE OF c`,
    [tx.tenantId, ids],
  );
  return new Map(rows.map((row) => [row.id, row]));
}

type Slip = { readonly id: string; readonly paidBy: 'site' | 'operator'; readonly claimId?: string | null };

/**
 * Ties slips that were just written to the claims that they take over: those that they name, and then, one to one, those that
 * say the same (machine, day, amount, paid by the site). A slip that is entered without its claim would else be paid a second
 * time when somebody presents the claim.
 */
export async function takeOverClaims(tx: TenantTransaction, slips: readonly Slip[]): Promise<void> {
  const named = slips.flatMap(({ id, claimId = null }) => (claimId === null ? [] : [{ id, claimId }]));
  if (named.length > 0) {
    const { rowCount } = await tx.sql(
      `UPDATE refund_claim c SET refund_slip_id = s.slip_id FROM unnest($2::uuid[], $3::uuid[]) AS s (slip_id, claim_id)
        WHERE c.tenant_id = $1 AND c.id = s.claim_id AND ${isOpen('c')}`,
      [tx.tenantId, named.map(({ id }) => id), named.map(({ claimId }) => claimId)],
    );
    if (rowCount !== named.length) throw new Error('a claim that was held is not open any more');
  }
  const unnamed = slips.flatMap(({ id, paidBy, claimId = null }) => (claimId === null && paidBy === 'site' ? [id] : []));
  if (unnamed.length > 0) await takeOverEqual(tx, unnamed);
}

/** How many claims slips took over that say the same. */
async function takeOverEqual(tx: TenantTransaction, slipIds: readonly string[]): Promise<number> {
  // First held, then chosen: of two that come at once the second one chooses among what the first one left.
  await tx.sql(
    `SELECT FROM refund_claim o WHERE o.tenant_id = $1 AND ${isOpen('o')}
        AND EXISTS (SELECT FROM refund_slip r WHERE r.tenant_id = $1 AND r.id = ANY ($2::uuid[]) AND r.paid_by = 'site' AND ${saysSame('o', 'r')}) ORDER BY o.id FOR UPDATE`,
    [tx.tenantId, slipIds],
  );
  const place = 'row_number() OVER (PARTITION BY x.site_id, x.machine_id, x.refunded_on, x.amount_minor ORDER BY x.id) AS place';
  const { rowCount } = await tx.sql(
    `WITH r AS (SELECT x.*, ${place} FROM refund_slip x WHERE x.tenant_id = $1 AND x.id = ANY ($2::uuid[]) AND x.paid_by = 'site'),
          o AS (SELECT x.*, ${place} FROM refund_claim x WHERE x.tenant_id = $1 AND x.site_id IN (SELECT r.site_id FROM r) AND ${isOpen('x')})
     UPDATE refund_claim c SET refund_slip_id = r.id FROM r JOIN o ON ${saysSame('o', 'r')} AND o.place = r.place WHERE c.tenant_id = $1 AND c.id = o.id`,
    [tx.tenantId, slipIds],
  );
  return rowCount ?? 0;
}

/** Open claims `o` that a file's slip `r` may be the sum of, as SQL: those of its machine up to the visit. Names the tenant `$1`. */
export const upTo = `o.tenant_id = $1 AND o.site_id = r.site_id AND o.machine_id = r.machine_id AND o.refunded_on <= r.refunded_on AND ${isOpen('o')}`;

/**
 * The same for the slips of a file, where one figure is the sum of the slips that were presented for a machine: it takes over the
 * open claims of that machine up to the visit, where they have the same sum, or else one that has the amount.
 */
export async function takeOverOfFile(tx: TenantTransaction, fileId: string): Promise<void> {
  const { rows } = await tx.sql<{ id: string }>(
    `SELECT r.id FROM refund_slip r JOIN collection v ON v.tenant_id = r.tenant_id AND v.id = r.collection_id
      WHERE r.tenant_id = $1 AND v.import_file_id = $2 AND r.paid_by = 'site' AND r.replaces_id IS NULL AND EXISTS (SELECT FROM refund_claim o WHERE ${upTo}) ORDER BY v.happened_at, r.id`,
    [tx.tenantId, fileId],
  );
  // One after the other: what a visit takes over is not there for the next one. Few slips of a file meet a claim at all.
  for (const { id } of rows) await takeOverSum(tx, id);
}

/** How many claims a slip that may be a sum took over. */
async function takeOverSum(tx: TenantTransaction, slipId: string): Promise<number> {
  const { rows: claims } = await tx.sql<{ id: string; amount_minor: bigint; slip_minor: bigint }>(
    `WITH held AS MATERIALIZED (
       SELECT o.id, o.refunded_on, o.amount_minor, r.amount_minor AS slip_minor FROM refund_claim o JOIN refund_slip r ON r.tenant_id = $1 AND r.id = $2
        WHERE ${upTo} ORDER BY o.id FOR UPDATE OF o)
     SELECT id, amount_minor, slip_minor FROM held ORDER BY refunded_on, id`,
    [tx.tenantId, slipId],
  );
  const answered = answeredBy(claims, claims[0]?.slip_minor ?? 0n);
  if (answered.length > 0) await tx.sql('UPDATE refund_claim SET refund_slip_id = $2 WHERE tenant_id = $1 AND id = ANY ($3::uuid[])', [tx.tenantId, slipId, answered.map(({ id }) => id)]);
  return answered.length;
}

/**
 * Whether a slip `r` as it stands, of a visit `v`, may be the sum of slips that a file had and answers no claim, as SQL: of which of the open claims it is the sum nobody can tell
 * from its amount.
 */
export const answersNone = `v.import_file_id IS NOT NULL AND v.state <> 'discarded' AND r.paid_by = 'site' AND r.amount_minor > 0
        AND NOT EXISTS (SELECT FROM refund_slip newer WHERE newer.tenant_id = r.tenant_id AND newer.replaces_id = r.id)
        AND NOT EXISTS (SELECT FROM refund_claim own WHERE own.tenant_id = r.tenant_id AND own.refund_slip_id = r.id)`;

type Corrected = { readonly id: string; readonly replacesId: string; readonly amountMinor: bigint; readonly paidBy: 'site' | 'operator'; readonly ofFile: boolean };

/**
 * Claims follow a slip that was written in the place of another. They stay with it while their sum is its amount. Else it is the
 * slip of whatever open claims say what it says now, and the former ones lie open again; where none do, it still answers the
 * former ones, with another amount than the site said. A slip of nothing, or that the site did not pay, answers no claim.
 */
export async function followCorrectedSlip(tx: TenantTransaction, { id, replacesId, amountMinor, paidBy, ofFile }: Corrected): Promise<void> {
  const { rows: former } = await tx.sql<{ id: string; amount_minor: bigint }>(
    'UPDATE refund_claim SET refund_slip_id = NULL WHERE tenant_id = $1 AND refund_slip_id = $2 RETURNING id, amount_minor',
    [tx.tenantId, replacesId],
  );
  if (paidBy === 'operator' || amountMinor === 0n) return;
  const isTheirSum = former.reduce((sum, claim) => sum + claim.amount_minor, 0n) === amountMinor;
  if (!isTheirSum && (ofFile ? await takeOverSum(tx, id) : await takeOverEqual(tx, [id])) > 0) return;
  await tx.sql('UPDATE refund_claim SET refund_slip_id = $2 WHERE tenant_id = $1 AND id = ANY ($3::uuid[])', [tx.tenantId, id, former.map((claim) => claim.id)]);
}

/** Claims that a collection took over lie open again once it was discarded: nothing of it counts. */
export async function reopenClaims(tx: TenantTransaction, collectionId: string): Promise<void> {
  await tx.sql(
    `UPDATE refund_claim c SET refund_slip_id = NULL FROM refund_slip r WHERE r.tenant_id = $1 AND r.collection_id = $2 AND c.tenant_id = $1 AND c.refund_slip_id = r.id`,
    [tx.tenantId, collectionId],
  );
}
