import type { TenantTransaction } from '#database/tenant';

/**
 * Where the cash of a visit is. What a collector counted at the machines is with them until they hand it in, box by box; what
 * the room counts lies in the room, also where it is of the same visit.
 */

/**
 * Whether what went out of a box before it was counted came out of cash that the collector then had, as SQL: out of a box that
 * was counted at its machine; where none of it was counted then, or nobody noted whose box it was, out of a visit at which any
 * was. Only first counts are asked, and none that came after acceptance, so that it stays as it was booked. `collection`, `machine`: SQL of their
 * ids; `known`: SQL of the moment as of which counts are asked; without it all are. As of then a box that is still to be counted may lie in a bag, and
 * its cash comes to the room with that. Names the tenant `$1`.
 */
function wentOffCollector({ collection, machine, known }: { readonly collection: string; readonly machine: string; readonly known?: string }): string {
  const first = `SELECT bool_or(own.at_machine) FROM box_count own
                  WHERE own.tenant_id = $1 AND own.collection_id = ${collection} AND own.replaces_id IS NULL AND NOT own.late${known === undefined ? '' : ` AND own.recorded_at <= ${known}`}`;
  const inBag = `SELECT false FROM collection_bag bag WHERE bag.tenant_id = $1 AND bag.collection_id = ${collection} AND bag.recorded_at <= ${known ?? ''}
                    AND ${machine} IS NOT NULL AND coalesce(bag.machine_id, ${machine}) = ${machine} LIMIT 1`;
  return `coalesce((${first} AND own.machine_id = ${machine}), ${known === undefined ? '' : `(${inBag}), `}(${first}), false)`;
}

const stands = (table: string, row: string): string => `NOT EXISTS (SELECT FROM ${table} newer WHERE newer.tenant_id = $1 AND newer.replaces_id = ${row}.id)`;

/**
 * What of a collection's cash is with who collected until it is handed in, as SQL: what they counted at the machines, less what
 * went out of it on the way; null where there is none. `collection`: the alias of its row. Without `filled` the change funds that
 * were filled out of it are left in it: they are booked by themselves. Names the tenant `$1`.
 */
export function withCollector(collection: string, { filled }: { readonly filled: boolean }): string {
  const counted = `FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = ${collection}.id AND b.at_machine AND ${stands('box_count', 'b')}`;
  const off = (machine: string, known?: string): string => wentOffCollector({ collection: `${collection}.id`, machine, ...(known === undefined ? {} : { known }) });
  return `CASE WHEN ${collection}.collected_by IS NOT NULL AND EXISTS (SELECT ${counted}) THEN
            (SELECT sum(b.coin_minor + b.note_minor) ${counted})::bigint
            - (SELECT coalesce(sum(h.amount_minor), 0) FROM cash_handed h WHERE h.tenant_id = $1 AND h.collection_id = ${collection}.id AND ${stands('cash_handed', 'h')} AND ${off('h.machine_id')})::bigint
            - (SELECT coalesce(sum(r.amount_minor), 0) FROM refund_slip r WHERE r.tenant_id = $1 AND r.collection_id = ${collection}.id AND r.paid_by = 'operator' AND ${stands('refund_slip', 'r')} AND ${off('r.machine_id')})::bigint
            ${filled ? `- (SELECT coalesce(sum(m.amount_minor), 0) FROM cash_move m
                  WHERE m.tenant_id = $1 AND m.collection_id = ${collection}.id AND m.takes_back_id IS NULL AND NOT EXISTS (SELECT FROM cash_move back WHERE back.tenant_id = $1 AND back.takes_back_id = m.id)
                    AND ${off('m.out_of_machine_id', 'm.recorded_at')})::bigint` : ''} END`;
}

/** Out of whose cash something went before it was counted: of who collected, or (null) of what lies in the counting room. `machineId`: whose box it came out of; null where nobody noted that. */
export async function selectCashWith(tx: TenantTransaction, { collectionId, machineId }: { readonly collectionId: string; readonly machineId: string | null }): Promise<string | null> {
  const { rows } = await tx.sql<{ cash_with: string | null }>(
    `SELECT CASE WHEN ${wentOffCollector({ collection: 'c.id', machine: '$3::uuid' })} THEN c.collected_by END AS cash_with FROM collection c WHERE c.tenant_id = $1 AND c.id = $2`,
    [tx.tenantId, collectionId, machineId],
  );
  return rows[0]?.cash_with ?? null;
}

/** The same of a change fund that was filled out of the boxes, as it was known when that was recorded. */
export async function selectFillingCashWith(tx: TenantTransaction, { collectionId, machineId, recordedAt }: { readonly collectionId: string; readonly machineId: string | null; readonly recordedAt: Date }): Promise<string | null> {
  const { rows } = await tx.sql<{ cash_with: string | null }>(
    `SELECT CASE WHEN ${wentOffCollector({ collection: 'c.id', machine: '$3::uuid', known: '$4' })} THEN c.collected_by END AS cash_with
       FROM collection c WHERE c.tenant_id = $1 AND c.id = $2`,
    [tx.tenantId, collectionId, machineId, recordedAt],
  );
  return rows[0]?.cash_with ?? null;
}

export type CashOutOfRow = { machine_tag: string | null; receipts: boolean; fillings: boolean };

/** Whether what goes out of the box of each machine that stood there, and (null) of a box that nobody noted, is booked out of the cash of who collected: of receipts, and of change funds that are filled now. */
export async function selectCashOutOf(tx: TenantTransaction, collectionId: string): Promise<CashOutOfRow[]> {
  const ofBox = { collection: 'c.id', machine: 'box.machine_id' };
  const { rows } = await tx.sql<CashOutOfRow>(
    `SELECT m.tag AS machine_tag, c.collected_by IS NOT NULL AND ${wentOffCollector(ofBox)} AS receipts, c.collected_by IS NOT NULL AND ${wentOffCollector({ ...ofBox, known: "'infinity'::timestamptz" })} AS fillings
       FROM collection c
      CROSS JOIN LATERAL (SELECT p.machine_id FROM placement p WHERE p.tenant_id = $1 AND p.site_id = c.site_id AND p.placed_on <= c.local_date AND (p.removed_on IS NULL OR p.removed_on >= c.local_date)
                           UNION SELECT NULL) box
       LEFT JOIN machine m ON m.tenant_id = $1 AND m.id = box.machine_id
      WHERE c.tenant_id = $1 AND c.id = $2 ORDER BY m.tag`,
    [tx.tenantId, collectionId],
  );
  return rows;
}
