import type { TenantTransaction } from '#database/tenant';
import type { Moment } from './moment';
import { custodyAt, holderColumns, holderJoins, type HolderRow } from './whereabouts.sql';

export type CopyAtRow = Omit<HolderRow, 'since'> & { id: string; number: string; key_code_id: string; since: Date | null };

/** One copy, and where it was at a moment; `since` is null before it was made. */
export async function selectCopyAt(tx: TenantTransaction, query: Moment & { id: string }): Promise<CopyAtRow | null> {
  const { rows } = await tx.sql<CopyAtRow>(
    `SELECT copy.id, copy.number, copy.key_code_id, ${holderColumns('held')}
       FROM key_copy copy
       LEFT JOIN LATERAL (${custodyAt('copy', '$3', '$4')}) held ON true
       ${holderJoins('held')}
      WHERE copy.tenant_id = $1 AND copy.id = $2`,
    [tx.tenantId, query.id, query.at, query.knownAt],
  );
  return rows[0] ?? null;
}

export async function selectKeyCodeId(tx: TenantTransaction, id: string): Promise<string | null> {
  const { rows } = await tx.sql<{ id: string }>('SELECT id FROM key_code WHERE tenant_id = $1 AND id = $2', [tx.tenantId, id]);
  return rows[0]?.id ?? null;
}
