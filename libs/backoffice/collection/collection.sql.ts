import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { madeAlone } from '../policy/policy.sql';
import { saysSame } from '../refund-claim/take-over.sql';
import type { TokenPieces } from './box-contents';
import type { StoredTallyLine } from './tally';

export type CollectionState = 'open' | 'counted' | 'accepted' | 'discarded';

export type CollectionRow = {
  id: string;
  site_id: string;
  site_code: string;
  site_name: string;
  time_zone: string;
  currency: CurrencyCode;
  happened_at: Date;
  local_date: LocalDate;
  accounting_date: LocalDate;
  accounting_reason: string | null;
  state: CollectionState;
  collected_by: string | null;
  import_file_id: string | null;
  recorded_at: Date;
  recorded_by: string;
  accepted_at: Date | null;
  accepted_by: string | null;
  bagged: boolean;
  discarded_at: Date | null;
  discarded_by: string | null;
  discarded_because: string | null;
  counted_minor: bigint;
  counted_machines: number;
  refunds_minor: bigint;
  handed_minor: bigint;
  revision: number;
};

/** Collections of `source` with the sums of what stands; a figure that was corrected no longer does. */
const withSums = (source: string): string => `
  SELECT c.id, c.site_id, s.code AS site_code, s.name AS site_name, s.time_zone, c.currency, c.happened_at, c.local_date,
         c.accounting_date, c.accounting_reason, c.state, c.collected_by, c.import_file_id, c.recorded_at, c.recorded_by,
         c.accepted_at, c.accepted_by, c.bagged, c.discarded_at, c.discarded_by, c.discarded_because, counted.minor AS counted_minor, counted.machines AS counted_machines,
         coalesce((SELECT sum(r.amount_minor) FROM refund_slip r WHERE r.tenant_id = c.tenant_id AND r.collection_id = c.id
                    AND NOT EXISTS (SELECT FROM refund_slip newer WHERE newer.tenant_id = r.tenant_id AND newer.replaces_id = r.id)), 0)::bigint AS refunds_minor,
         coalesce((SELECT sum(h.amount_minor) FROM cash_handed h WHERE h.tenant_id = c.tenant_id AND h.collection_id = c.id
                    AND NOT EXISTS (SELECT FROM cash_handed newer WHERE newer.tenant_id = h.tenant_id AND newer.replaces_id = h.id)), 0)::bigint AS handed_minor,
         c.revision
    FROM ${source} c
    JOIN site s ON s.tenant_id = c.tenant_id AND s.id = c.site_id
    CROSS JOIN LATERAL (
      SELECT coalesce(sum(b.coin_minor + b.note_minor), 0)::bigint AS minor, count(DISTINCT b.machine_id)::int AS machines
        FROM box_count b
       WHERE b.tenant_id = c.tenant_id AND b.collection_id = c.id
         AND NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = b.tenant_id AND newer.replaces_id = b.id)) counted`;

export async function selectCollection(tx: TenantTransaction, id: string): Promise<CollectionRow | null> {
  const { rows } = await tx.sql<CollectionRow>(`${withSums('collection')} WHERE c.tenant_id = $1 AND c.id = $2`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

/** Holds collections, in one order everywhere, and says which there are. */
export async function lockCollections(tx: TenantTransaction, ids: readonly string[]): Promise<{ id: string; site_id: string; state: CollectionState }[]> {
  const { rows } = await tx.sql<{ id: string; site_id: string; state: CollectionState }>(
    'SELECT id, site_id, state FROM collection WHERE tenant_id = $1 AND id = ANY ($2::uuid[]) ORDER BY id FOR NO KEY UPDATE',
    [tx.tenantId, ids],
  );
  return rows;
}

export async function markCounted(tx: TenantTransaction, id: string): Promise<void> {
  await tx.sql(`UPDATE collection SET state = 'counted' WHERE tenant_id = $1 AND id = $2`, [tx.tenantId, id]);
}

/** The boxes were bagged, and are counted by what the bags hold. */
export async function markBagged(tx: TenantTransaction, id: string): Promise<void> {
  await tx.sql('UPDATE collection SET bagged = true WHERE tenant_id = $1 AND id = $2 AND NOT bagged', [tx.tenantId, id]);
}

export type CountRow = {
  id: string;
  placement_id: string;
  machine_id: string;
  machine_tag: string;
  part: number;
  removal: boolean;
  coin_minor: bigint;
  note_minor: bigint;
  tokens: TokenPieces;
  house_coin_minor: bigint;
  bad_coin_minor: bigint;
  metered_minor: bigint | null;
  tally: readonly StoredTallyLine[] | null;
  at_machine: boolean;
  late: boolean;
  replaces_id: string | null;
  replaced_by_id: string | null;
  reason: string | null;
  made_alone: boolean;
  recorded_at: Date;
  recorded_by: string;
};

export async function selectCounts(tx: TenantTransaction, collectionId: string): Promise<CountRow[]> {
  const { rows } = await tx.sql<CountRow>(
    `SELECT b.id, b.placement_id, b.machine_id, m.tag AS machine_tag, b.part, b.removal, b.coin_minor, b.note_minor,
            b.tokens, b.house_coin_minor, b.bad_coin_minor, b.metered_minor, t.lines AS tally, b.replaces_id,
            newer.id AS replaced_by_id, b.at_machine, b.late, b.reason, ${madeAlone('b')}, b.recorded_at, b.recorded_by
       FROM box_count b
       JOIN machine m ON m.tenant_id = b.tenant_id AND m.id = b.machine_id
       LEFT JOIN box_count newer ON newer.tenant_id = b.tenant_id AND newer.replaces_id = b.id
       LEFT JOIN box_tally t ON t.tenant_id = b.tenant_id AND t.box_count_id = b.id
      WHERE b.tenant_id = $1 AND b.collection_id = $2
      ORDER BY m.tag, b.part, b.recorded_at, b.id`,
    [tx.tenantId, collectionId],
  );
  return rows;
}

/** How a figure and its correction refer to each other. */
export type CorrectedRow = { replaces_id: string | null; replaced_by_id: string | null; reason: string | null; made_alone: boolean; recorded_at: Date; recorded_by: string };

export type SlipRow = CorrectedRow & { id: string; machine_id: string; machine_tag: string; refunded_on: LocalDate; amount_minor: bigint; paid_by: 'site' | 'operator'; coin_minor: bigint | null; claims: { id: string; number: string | null; reason: string }[]; alike: { number: string | null; collectedOn: LocalDate } | null };

export async function selectSlips(tx: TenantTransaction, collectionId: string): Promise<SlipRow[]> {
  const { rows } = await tx.sql<SlipRow>(
    `SELECT r.id, r.machine_id, m.tag AS machine_tag, r.refunded_on, r.amount_minor, r.paid_by, r.coin_minor,
            coalesce((SELECT jsonb_agg(jsonb_build_object('id', k.id, 'number', k.number, 'reason', k.reason) ORDER BY k.refunded_on, k.id)
                        FROM refund_claim k WHERE k.tenant_id = r.tenant_id AND k.refund_slip_id = r.id), '[]') AS claims,
            CASE WHEN newer.id IS NULL AND r.paid_by = 'site' AND visit.state <> 'discarded' AND NOT EXISTS (SELECT FROM refund_claim own WHERE own.tenant_id = r.tenant_id AND own.refund_slip_id = r.id) THEN (
              SELECT jsonb_build_object('number', k.number, 'collectedOn', v.local_date)
                FROM refund_claim k JOIN refund_slip o ON o.tenant_id = k.tenant_id AND o.id = k.refund_slip_id JOIN collection v ON v.tenant_id = o.tenant_id AND v.id = o.collection_id
               WHERE k.tenant_id = r.tenant_id AND ${saysSame('k', 'r')}
               ORDER BY v.local_date DESC, k.id LIMIT 1) END AS alike,
            r.replaces_id, newer.id AS replaced_by_id, r.reason, ${madeAlone('r')}, r.recorded_at, r.recorded_by
       FROM refund_slip r JOIN machine m ON m.tenant_id = r.tenant_id AND m.id = r.machine_id JOIN collection visit ON visit.tenant_id = r.tenant_id AND visit.id = r.collection_id
       LEFT JOIN refund_slip newer ON newer.tenant_id = r.tenant_id AND newer.replaces_id = r.id
      WHERE r.tenant_id = $1 AND r.collection_id = $2 ORDER BY m.tag, r.refunded_on, r.id`,
    [tx.tenantId, collectionId],
  );
  return rows;
}

export type HandedRow = CorrectedRow & { id: string; party_id: string; amount_minor: bigint; acknowledged_by: string | null; machine_tag: string | null; coin_minor: bigint | null };

export async function selectHanded(tx: TenantTransaction, collectionId: string): Promise<HandedRow[]> {
  const { rows } = await tx.sql<HandedRow>(
    `SELECT h.id, h.party_id, h.amount_minor, h.acknowledged_by, m.tag AS machine_tag, h.coin_minor, h.replaces_id, newer.id AS replaced_by_id, h.reason, ${madeAlone('h')}, h.recorded_at, h.recorded_by
       FROM cash_handed h LEFT JOIN cash_handed newer ON newer.tenant_id = h.tenant_id AND newer.replaces_id = h.id
       LEFT JOIN machine m ON m.tenant_id = h.tenant_id AND m.id = h.machine_id
      WHERE h.tenant_id = $1 AND h.collection_id = $2 ORDER BY h.recorded_at, h.id`,
    [tx.tenantId, collectionId],
  );
  return rows;
}

export async function selectCollections(
  tx: TenantTransaction,
  list: {
    after: readonly [happenedAt: string, id: string] | null;
    limit: number;
    siteId: string | null;
    state: string | null;
    from: string | null;
    before: string | null;
    importFileId: string | null;
    siteIds: readonly string[] | null;
    states: readonly string[] | null;
    /** Sites of which only what is being counted is shown, and of what was counted only what these actors entered. */
    sealed: { readonly sites: readonly string[]; readonly actors: readonly string[] };
  },
): Promise<CollectionRow[]> {
  const [happenedAt, id] = list.after ?? [null, null];
  const { rows } = await tx.sql<CollectionRow>(
    // The page is cut first, so that sums are made for what is shown and nothing else.
    `${withSums(`(
        SELECT * FROM collection
         WHERE tenant_id = $1
           AND ($2::timestamptz IS NULL OR (happened_at, id) < ($2, $3::uuid))
           AND ($4::uuid IS NULL OR site_id = $4)
           AND ($5::text IS NULL OR state = $5)
           AND ($6::date IS NULL OR accounting_date >= $6)
           AND ($7::date IS NULL OR accounting_date < $7)
           AND ($8::uuid IS NULL OR import_file_id = $8)
           AND ($9::uuid[] IS NULL OR site_id = ANY ($9))
           AND ($10::text[] IS NULL OR state = ANY ($10))
           AND (cardinality($12::uuid[]) = 0 OR site_id <> ALL ($12) OR state = 'open' OR (state IN ('counted', 'discarded') AND recorded_by = ANY ($13::text[])))
         ORDER BY happened_at DESC, id DESC LIMIT $11)`)}
      ORDER BY c.happened_at DESC, c.id DESC`,
    [tx.tenantId, happenedAt, id, list.siteId, list.state, list.from, list.before, list.importFileId, list.siteIds, list.states, list.limit + 1, list.sealed.sites, list.sealed.actors],
  );
  return rows;
}
