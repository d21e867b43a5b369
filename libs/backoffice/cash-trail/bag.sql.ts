import type { TenantTransaction } from '#database/tenant';
import { madeAlone } from '../policy/policy.sql';

/** What of a bag was read wrong: its number and the seal that was put on, or a seal that was found on it. */
export type BagCorrectionOf = 'filled' | 'received' | 'opened';

export type BagRow = {
  id: string;
  collection_id: string;
  site_code: string;
  /** Whose box it holds; null where it may hold the cash of every machine of the site. */
  machine_tag: string | null;
  number: string;
  seal: string;
  collected_at: Date;
  received_seal: string | null;
  received_at: Date | null;
  received_by: string | null;
  received_alone: boolean;
  opened_seal: string | null;
  opened_at: Date | null;
  opened_by: string | null;
  opened_alone: boolean;
  withdrawn: boolean;
  recorded_by: string;
  first_number: string;
  first_seal: string;
  first_received_seal: string | null;
  first_opened_seal: string | null;
  /** The oldest first. */
  corrections: readonly { readonly id: string; readonly what: BagCorrectionOf; readonly number: string | null; readonly seal: string; readonly reason: string; readonly recorded_at: string; readonly recorded_by: string; readonly made_alone: boolean }[];
};

/** As the latest correction has it; null without one. */
const corrected = (what: BagCorrectionOf, column: 'number' | 'seal'): string =>
  `(SELECT k.${column} FROM collection_bag_correction k WHERE k.tenant_id = b.tenant_id AND k.bag_id = b.id AND k.what = '${what}' ORDER BY k.recorded_at DESC, k.id DESC LIMIT 1)`;

const bags = `
  SELECT b.id, b.collection_id, s.code AS site_code, m.tag AS machine_tag, coalesce(${corrected('filled', 'number')}, b.number) AS number, coalesce(${corrected('filled', 'seal')}, b.seal) AS seal,
         b.recorded_by, b.number AS first_number, b.seal AS first_seal, received.seal AS first_received_seal, opened.seal AS first_opened_seal,
         coalesce((SELECT jsonb_agg(jsonb_build_object('id', k.id, 'what', k.what, 'number', k.number, 'seal', k.seal, 'reason', k.reason, 'recorded_at', k.recorded_at, 'recorded_by', k.recorded_by, 'made_alone', k.made_alone) ORDER BY k.recorded_at, k.id)
                     FROM (SELECT own.*, ${madeAlone('own')} FROM collection_bag_correction own WHERE own.tenant_id = b.tenant_id AND own.bag_id = b.id) k), '[]') AS corrections,
         c.happened_at AS collected_at, coalesce(${corrected('received', 'seal')}, received.seal) AS received_seal, received.happened_at AS received_at, received.recorded_by AS received_by,
         ${madeAlone('received', 'received_alone')}, ${madeAlone('opened', 'opened_alone')}, c.state = 'discarded' AS withdrawn,
         coalesce(${corrected('opened', 'seal')}, opened.seal) AS opened_seal, opened.happened_at AS opened_at, opened.recorded_by AS opened_by
    FROM collection_bag b
    JOIN collection c ON c.tenant_id = b.tenant_id AND c.id = b.collection_id
    JOIN site s ON s.tenant_id = c.tenant_id AND s.id = c.site_id
    LEFT JOIN machine m ON m.tenant_id = b.tenant_id AND m.id = b.machine_id
    LEFT JOIN collection_bag_step received ON received.tenant_id = b.tenant_id AND received.bag_id = b.id AND received.kind = 'received'
    LEFT JOIN collection_bag_step opened ON opened.tenant_id = b.tenant_id AND opened.bag_id = b.id AND opened.kind = 'opened'`;

export async function selectBagsOfDays(tx: TenantTransaction, { from, to }: { readonly from: string; readonly to: string }): Promise<BagRow[]> {
  const { rows } = await tx.sql<BagRow>(`${bags} WHERE b.tenant_id = $1 AND c.tenant_id = $1 AND c.local_date BETWEEN $2 AND $3 ORDER BY c.local_date, s.code, number, b.id`, [tx.tenantId, from, to]);
  return rows;
}

export async function selectBagsOfCollection(tx: TenantTransaction, collectionId: string): Promise<BagRow[]> {
  const { rows } = await tx.sql<BagRow>(`${bags} WHERE b.tenant_id = $1 AND b.collection_id = $2 ORDER BY number, b.id`, [tx.tenantId, collectionId]);
  return rows;
}

export async function selectBags(tx: TenantTransaction, ids: readonly string[]): Promise<BagRow[]> {
  const { rows } = await tx.sql<BagRow>(`${bags} WHERE b.tenant_id = $1 AND b.id = ANY ($2::uuid[]) ORDER BY number, b.id`, [tx.tenantId, ids]);
  return rows;
}

/** Who took a bag out of the boxes: who entered it, collected there, or held the key to them, as far as they have accounts. */
export async function selectRemovers(tx: TenantTransaction, bagId: string): Promise<string[]> {
  const { rows } = await tx.sql<{ actor: string }>(
    `SELECT b.recorded_by AS actor FROM collection_bag b WHERE b.tenant_id = $1 AND b.id = $2
      UNION SELECT 'user:' || m.account_id
              FROM collection_bag b JOIN collection c ON c.tenant_id = $1 AND c.id = b.collection_id
              JOIN identity.members() m ON m.person_id = c.collected_by OR m.person_id = (
                SELECT n.person_id FROM collection_key_holder n WHERE n.tenant_id = $1 AND n.collection_id = c.id ORDER BY n.recorded_at DESC, n.id DESC LIMIT 1)
             WHERE b.tenant_id = $1 AND b.id = $2`,
    [tx.tenantId, bagId],
  );
  return rows.map((row) => row.actor);
}

export async function insertBags(
  tx: TenantTransaction,
  bags: readonly { readonly id: string; readonly collectionId: string; readonly machineId: string | null; readonly number: string; readonly seal: string; readonly meteredMinor: bigint | null }[],
  now: Date,
): Promise<void> {
  if (bags.length === 0) return;
  await tx.sql(
    `INSERT INTO collection_bag (tenant_id, id, collection_id, machine_id, number, seal, metered_minor, recorded_at, recorded_by)
     SELECT $1, b.id, b.collection_id, b.machine_id, b.number, b.seal, b.metered_minor, $2, $3
       FROM unnest($4::uuid[], $5::uuid[], $6::uuid[], $7::text[], $8::text[], $9::bigint[]) AS b (id, collection_id, machine_id, number, seal, metered_minor)`,
    [tx.tenantId, now, tx.actor, bags.map(({ id }) => id), bags.map(({ collectionId }) => collectionId), bags.map(({ machineId }) => machineId), bags.map(({ number }) => number), bags.map(({ seal }) => seal), bags.map(({ meteredMinor }) => meteredMinor)],
  );
}

export async function insertBagStep(tx: TenantTransaction, step: { readonly id: string; readonly bagId: string; readonly kind: string; readonly seal: string; readonly happenedAt: Date; readonly now: Date }): Promise<void> {
  await tx.sql('INSERT INTO collection_bag_step (tenant_id, id, bag_id, kind, seal, happened_at, recorded_at, recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)', [
    tx.tenantId,
    step.id,
    step.bagId,
    step.kind,
    step.seal,
    step.happenedAt,
    step.now,
    tx.actor,
  ]);
}

export async function insertBagCorrection(tx: TenantTransaction, correction: { readonly id: string; readonly bagId: string; readonly what: BagCorrectionOf; readonly number: string | null; readonly seal: string; readonly reason: string; readonly now: Date }): Promise<void> {
  await tx.sql('INSERT INTO collection_bag_correction (tenant_id, id, bag_id, what, number, seal, reason, recorded_at, recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)', [
    tx.tenantId,
    correction.id,
    correction.bagId,
    correction.what,
    correction.number,
    correction.seal,
    correction.reason,
    correction.now,
    tx.actor,
  ]);
}
