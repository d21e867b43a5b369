import type { CopyHistory } from '#contracts/key-question';
import type { TenantTransaction } from '#database/tenant';
import { holderColumns, holderJoins, knownCustody, type HolderRow } from './whereabouts.sql';

export type CopyRow = Pick<CopyHistory, 'keyCopyId' | 'number' | 'keyCodeId' | 'code' | 'class' | 'outsideCopies'>;

export async function selectCopy(tx: TenantTransaction, id: string): Promise<CopyRow | null> {
  const { rows } = await tx.sql<CopyRow>(
    `SELECT copy.id AS "keyCopyId", copy.number, k.id AS "keyCodeId", k.code, copy.class, k.outside_copies AS "outsideCopies"
       FROM key_copy copy JOIN key_code k ON k.tenant_id = $1 AND k.id = copy.key_code_id
      WHERE copy.tenant_id = $1 AND copy.id = $2`,
    [tx.tenantId, id],
  );
  return rows[0] ?? null;
}

export type StayRow = HolderRow & { event_id: string; held_to: Date | null; says: string; reason: string; recorded_at: Date; recorded_by: string };

/** Where the copy was since it was made, as the books knew it. */
export async function selectCopyStays(tx: TenantTransaction, query: { id: string; knownAt: Date }): Promise<StayRow[]> {
  const { rows } = await tx.sql<StayRow>(
    `SELECT stay.event_id, stay.held_to, brought.says, brought.reason, brought.recorded_at, brought.recorded_by, ${holderColumns('stay')}
       FROM custody stay ${holderJoins('stay')}
       JOIN custody_event brought ON brought.tenant_id = $1 AND brought.id = stay.event_id
      WHERE stay.tenant_id = $1 AND stay.key_copy_id = $2 AND ${knownCustody('stay', '$3')}
      ORDER BY stay.held_from`,
    [tx.tenantId, query.id, query.knownAt],
  );
  return rows;
}
