import type { PersonKeys } from '#contracts/key-question';
import type { TenantTransaction } from '#database/tenant';
import { copiesHeldBy, fittedAt, heldByAt, heldCopyColumns, holdingColumns, type HoldingRow } from './holdings.sql';
import type { Moment } from './moment';
import { keepers, keptThen, type KeeperKind } from './keepers.sql';
import { holderJoins } from './whereabouts.sql';

export type KeptRow = { holder_id: string; as: KeeperKind };

/** Stores of which the person was custodian, and named places from which they may take keys; who answers for a place last. */
export async function selectKeptBy(tx: TenantTransaction, query: Moment & { personId: string }): Promise<KeptRow[]> {
  const { rows } = await tx.sql<KeptRow>(
    `SELECT k.holder_id, k.kind AS as FROM ${keepers} k
      WHERE k.person_id = $2 AND ${keptThen('k', { at: '$3', known: '$4' })}
      ORDER BY k.kind = 'responsible'`,
    [tx.tenantId, query.personId, query.at, query.knownAt],
  );
  return rows;
}

/** Copies with any of these holders at a moment, by number. */
export async function selectHeldBy(tx: TenantTransaction, query: Moment & { holderIds: readonly string[] }): Promise<HoldingRow[]> {
  const { rows } = await tx.sql<HoldingRow>(
    `SELECT ${holdingColumns}
       FROM (SELECT ${heldCopyColumns} FROM ${copiesHeldBy('$4', query.asOf)} WHERE $2::timestamptz IS NOT NULL AND $3::timestamptz IS NOT NULL OFFSET 0) copy
       JOIN key_code k ON k.tenant_id = $1 AND k.id = copy.key_code_id
       ${holderJoins('copy')}
      ORDER BY copy.number`,
    [tx.tenantId, query.at, query.knownAt, query.holderIds],
  );
  return rows;
}

export type StoreRow = { id: string; code: string; name: string; copies: number };

export async function selectStores(tx: TenantTransaction, query: Moment & { storeIds: readonly string[] }): Promise<StoreRow[]> {
  const { rows } = await tx.sql<StoreRow>(
    `SELECT s.id, s.code, s.name, (SELECT count(*) FROM (${heldByAt('s.id', query.asOf)}) held)::int AS copies
       FROM key_store s
      WHERE s.tenant_id = $1 AND s.id = ANY ($4::uuid[]) AND $2::timestamptz IS NOT NULL AND $3::timestamptz IS NOT NULL
      ORDER BY s.code`,
    [tx.tenantId, query.at, query.knownAt, query.storeIds],
  );
  return rows;
}

export type OpenedRow = Omit<PersonKeys['opens'][number], 'numbers'> & { keyCodeId: string };

/** Locks that these cuts fit at a moment, by site and machine. */
export async function selectOpened(tx: TenantTransaction, query: Moment & { keyCodeIds: readonly string[] }): Promise<OpenedRow[]> {
  const { rows } = await tx.sql<OpenedRow>(
    `SELECT fitted.machine_id AS "machineId", m.tag AS "machineTag", s.id AS "siteId", s.code AS "siteCode", s.name AS "siteName",
            fitted.place, fitted.opens, k.code, k.id AS "keyCodeId"
       FROM (${fittedAt('$2', '$3')} AND l.key_code_id = ANY ($4::uuid[])) fitted
       JOIN machine m ON m.tenant_id = $1 AND m.id = fitted.machine_id
       JOIN key_code k ON k.tenant_id = $1 AND k.id = fitted.key_code_id
       LEFT JOIN site s ON s.tenant_id = $1 AND s.id = fitted.site_id
      ORDER BY s.code NULLS LAST, m.tag, fitted.place`,
    [tx.tenantId, query.at, query.knownAt, query.keyCodeIds],
  );
  return rows;
}
