import type { TenantTransaction } from '#database/tenant';
import type { FigureName } from '#domain/audit-data/elements';
import type { Figure, Figures } from '#domain/audit-data/sums';
import type { AuditFile } from '#contracts/audit-file';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';

export type Candidate = { id: string; tag: string; serial_number: string | null };

/** Machines that a file may be of: by the maker's serial number, by the number under which the operator keeps them, or by id. */
export async function selectCandidates(tx: TenantTransaction, by: { readonly serial: string | null; readonly assetNumber: string | null; readonly machineId: string | null }): Promise<Candidate[]> {
  const { rows } = await tx.sql<Candidate>('SELECT id, tag, serial_number FROM machine WHERE tenant_id = $1 AND (serial_number = $2 OR tag = upper($3) OR id = $4) ORDER BY tag', [
    tx.tenantId,
    by.serial,
    by.assetNumber,
    by.machineId,
  ]);
  return rows;
}

export type AuditFileRow = {
  id: string;
  collection_id: string;
  site_id: string;
  machine_id: string;
  machine_tag: string;
  happened_at: Date;
  local_date: LocalDate;
  sha256: Buffer;
  state: AuditFile['state'];
  serial: string;
  asset_number: string;
  matched_by: AuditFile['matchedBy'];
  machine_clock: string | null;
  currency: CurrencyCode;
  decimals_told: boolean;
  staged_at: Date;
  staged_by: string;
  accepted_at: Date | null;
  accepted_by: string | null;
};

const FILES = `
  SELECT f.id, f.collection_id, c.site_id, f.machine_id, m.tag AS machine_tag, c.happened_at, c.local_date, f.sha256, f.state, f.serial, f.asset_number, f.matched_by, f.machine_clock, f.currency,
         f.decimals_told, f.staged_at, f.staged_by, f.accepted_at, f.accepted_by
    FROM audit_file f
    JOIN machine m ON m.tenant_id = f.tenant_id AND m.id = f.machine_id
    JOIN collection c ON c.tenant_id = f.tenant_id AND c.id = f.collection_id`;

export type NewAuditFile = Omit<AuditFileRow, 'site_id' | 'machine_tag' | 'happened_at' | 'local_date' | 'state' | 'staged_by' | 'accepted_at' | 'accepted_by'> & { readonly bytes: Uint8Array; readonly figures: Figures };

/** Writes a file that waits, in the place of one that waited for the same machine. */
export async function insertAuditFile(tx: TenantTransaction, file: NewAuditFile): Promise<void> {
  await tx.sql(`UPDATE audit_file SET state = 'replaced' WHERE tenant_id = $1 AND collection_id = $2 AND machine_id = $3 AND state = 'staged'`, [tx.tenantId, file.collection_id, file.machine_id]);
  await tx.sql(
    `INSERT INTO audit_file (tenant_id, id, collection_id, machine_id, sha256, bytes, state, serial, asset_number, matched_by, machine_clock, currency, decimals_told, staged_at, staged_by)
     VALUES ($1, $2, $3, $4, $5, $6, 'staged', $7, $8, $9, $10, $11, $12, $13, $14)`,
    [tx.tenantId, file.id, file.collection_id, file.machine_id, file.sha256, file.bytes, file.serial, file.asset_number, file.matched_by, file.machine_clock, file.currency, file.decimals_told, file.staged_at, tx.actor],
  );
  const told = [...file.figures];
  await tx.sql(
    `INSERT INTO audit_figure (tenant_id, audit_file_id, name, since_reset, since_set_up)
     SELECT $1, $2, f.name, f.since_reset, f.since_set_up FROM unnest($3::text[], $4::bigint[], $5::bigint[]) AS f (name, since_reset, since_set_up)`,
    [tx.tenantId, file.id, told.map(([name]) => name), told.map(([, figure]) => figure.sinceReset), told.map(([, figure]) => figure.sinceSetUp)],
  );
}

export async function selectAuditFile(tx: TenantTransaction, id: string): Promise<AuditFileRow | null> {
  return (await tx.sql<AuditFileRow>(`${FILES} WHERE f.tenant_id = $1 AND f.id = $2`, [tx.tenantId, id])).rows[0] ?? null;
}

/** Of a collection, by machine, the latest first. */
export async function selectAuditFiles(tx: TenantTransaction, collectionId: string): Promise<AuditFileRow[]> {
  return (await tx.sql<AuditFileRow>(`${FILES} WHERE f.tenant_id = $1 AND f.collection_id = $2 ORDER BY m.tag, f.staged_at DESC, f.id DESC`, [tx.tenantId, collectionId])).rows;
}

/** Figures by file. */
export async function selectFigures(tx: TenantTransaction, fileIds: readonly string[]): Promise<ReadonlyMap<string, Map<FigureName, Figure>>> {
  const { rows } = await tx.sql<{ audit_file_id: string; name: FigureName; since_reset: bigint | null; since_set_up: bigint | null }>(
    'SELECT audit_file_id, name, since_reset, since_set_up FROM audit_figure WHERE tenant_id = $1 AND audit_file_id = ANY ($2::uuid[])',
    [tx.tenantId, fileIds],
  );
  const byFile = new Map<string, Map<FigureName, Figure>>(fileIds.map((id) => [id, new Map()]));
  for (const row of rows) byFile.get(row.audit_file_id)?.set(row.name, { sinceReset: row.since_reset, sinceSetUp: row.since_set_up });
  return byFile;
}

/** The same bytes, whose readings stand at a collection. */
export async function selectTwin(tx: TenantTransaction, { machineId, sha256 }: { readonly machineId: string; readonly sha256: Buffer }): Promise<Date | null> {
  const { rows } = await tx.sql<{ accepted_at: Date }>(
    `SELECT f.accepted_at FROM audit_file f
      WHERE f.tenant_id = $1 AND f.machine_id = $2 AND f.sha256 = $3 AND f.state = 'accepted'
        AND EXISTS (SELECT FROM meter_reading r WHERE r.tenant_id = $1 AND r.machine_id = f.machine_id AND r.collection_id = f.collection_id AND r.value IS NOT NULL
                       AND NOT EXISTS (SELECT FROM meter_reading newer WHERE newer.tenant_id = $1 AND newer.replaces_id = r.id)) LIMIT 1`,
    [tx.tenantId, machineId, sha256],
  );
  return rows[0]?.accepted_at ?? null;
}

/** The files of machines that were accepted for the last collection before a moment, and for the first one after it; in the order of what was asked. */
export async function selectBeside(tx: TenantTransaction, asked: readonly { readonly machineId: string; readonly at: Date }[]): Promise<{ before_id: string | null; after_id: string | null }[]> {
  const next = (side: string, order: string): string =>
    `(SELECT f.id FROM audit_file f JOIN collection c ON c.tenant_id = f.tenant_id AND c.id = f.collection_id
       WHERE f.tenant_id = $1 AND f.machine_id = asked.machine_id AND f.state = 'accepted' AND c.state <> 'discarded' AND c.happened_at ${side} asked.at ORDER BY c.happened_at ${order} LIMIT 1)`;
  const { rows } = await tx.sql<{ before_id: string | null; after_id: string | null }>(
    `SELECT ${next('<', 'DESC')} AS before_id, ${next('>', 'ASC')} AS after_id
       FROM unnest($2::uuid[], $3::timestamptz[]) WITH ORDINALITY AS asked (machine_id, at, place) ORDER BY asked.place`,
    [tx.tenantId, asked.map(({ machineId }) => machineId), asked.map(({ at }) => at)],
  );
  return rows;
}

/** Files that were accepted for these collections. */
export async function selectAcceptedOf(tx: TenantTransaction, collectionIds: readonly string[]): Promise<{ id: string; collection_id: string; machine_id: string; happened_at: Date }[]> {
  const { rows } = await tx.sql<{ id: string; collection_id: string; machine_id: string; happened_at: Date }>(
    `SELECT f.id, f.collection_id, f.machine_id, c.happened_at FROM audit_file f JOIN collection c ON c.tenant_id = f.tenant_id AND c.id = f.collection_id
      WHERE f.tenant_id = $1 AND f.collection_id = ANY ($2::uuid[]) AND f.state = 'accepted' ORDER BY f.id`,
    [tx.tenantId, collectionIds],
  );
  return rows;
}

/** Marks a waiting file as accepted, and says whether it still waited. */
export async function markAccepted(tx: TenantTransaction, { id, now }: { readonly id: string; readonly now: Date }): Promise<boolean> {
  const { rowCount } = await tx.sql(`UPDATE audit_file SET state = 'accepted', accepted_at = $3, accepted_by = $4 WHERE tenant_id = $1 AND id = $2 AND state = 'staged'`, [tx.tenantId, id, now, tx.actor]);
  return rowCount === 1;
}
