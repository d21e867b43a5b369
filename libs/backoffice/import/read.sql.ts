import type { TenantTransaction } from '#database/tenant';

export type FileRow = {
  id: string;
  kind: 'collections' | 'keys';
  file_name: string;
  byte_size: bigint;
  sha256: Buffer;
  state: 'staged' | 'refused' | 'accepted' | 'discarded';
  delimiter: ',' | ';';
  decimal_mark: '.' | ',';
  row_count: number;
  error_count: number;
  error_counts: Record<string, number>;
  uploaded_by: string;
  uploaded_at: Date;
  accepted_by: string | null;
  accepted_at: Date | null;
  same_id: string | null;
  same_file_name: string | null;
  same_state: string | null;
  same_uploaded_at: Date | null;
};

/** An accepted upload of the same bytes is named before any other: it is the one that matters. */
const FILE = `
  SELECT f.*, same.id AS same_id, same.file_name AS same_file_name, same.state AS same_state, same.uploaded_at AS same_uploaded_at
    FROM import_file f
    LEFT JOIN LATERAL (
      SELECT s.id, s.file_name, s.state, s.uploaded_at FROM import_file s
       WHERE s.tenant_id = f.tenant_id AND s.sha256 = f.sha256 AND s.id <> f.id AND (s.uploaded_at, s.id) < (f.uploaded_at, f.id)
       ORDER BY s.state = 'accepted' DESC, s.uploaded_at DESC LIMIT 1) same ON true`;

export async function selectFile(tx: TenantTransaction, id: string): Promise<FileRow | undefined> {
  return (await tx.sql<FileRow>(`${FILE} WHERE f.id = $1`, [id])).rows[0];
}

export async function selectFiles(tx: TenantTransaction, page: { limit: number; after: readonly [string, string] | null }): Promise<FileRow[]> {
  const { rows } = await tx.sql<FileRow>(
    `${FILE} WHERE $2::timestamptz IS NULL OR (f.uploaded_at, f.id) < ($2::timestamptz, $3::uuid)
     ORDER BY f.uploaded_at DESC, f.id DESC LIMIT $1`,
    [page.limit, page.after?.[0] ?? null, page.after?.[1] ?? null],
  );
  return rows;
}

export type ErrorRow = { line_number: number; column_name: string; code: string; value: string };

export async function selectErrors(tx: TenantTransaction, fileId: string): Promise<ErrorRow[]> {
  const { rows } = await tx.sql<ErrorRow>(
    'SELECT line_number, column_name, code, value FROM import_error WHERE import_file_id = $1 ORDER BY position',
    [fileId],
  );
  return rows;
}
