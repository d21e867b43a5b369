import { formatInstant } from '#contracts/format';
import type { ImportError, ImportFile } from '#contracts/import-file';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page, PageQuery } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectErrors, selectFile, selectFiles, type FileRow } from './read.sql';
import { wordsOf } from './words';

/** Uploaded files, newest first. */
export async function listImports(deps: Backoffice, caller: Caller, query: PageQuery): Promise<Outcome<Page<ImportFile>>> {
  return perform(deps, caller, 'import.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, z.tuple([z.iso.datetime(), z.uuid()]));
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectFiles(tx, { limit: query.limit + 1, after });
    return done(toPage({ rows, limit: query.limit, item: toImportFile, keyOf: (row) => [formatInstant(row.uploaded_at), row.id] }));
  });
}

export async function readImport(deps: Backoffice, caller: Caller, id: string): Promise<Outcome<ImportFile>> {
  return perform(deps, caller, 'import.read', async ({ tx }) => {
    const row = await selectFile(tx, id);
    return row === undefined ? refused('not-found') : done(toImportFile(row));
  });
}

export async function listImportErrors(deps: Backoffice, caller: Caller, id: string): Promise<Outcome<{ items: ImportError[] }>> {
  return perform(deps, caller, 'import.read', async ({ tx }) => {
    if ((await selectFile(tx, id)) === undefined) return refused('not-found');
    const items = (await selectErrors(tx, id)).map((row) => ({
      lineNumber: row.line_number,
      column: row.column_name,
      code: row.code,
      message: wordsOf(row.code, caller.language),
      value: row.value,
    }));
    return done({ items });
  });
}

export function toImportFile(row: FileRow): ImportFile {
  const same = row.same_id === null || row.same_uploaded_at === null ? null : { id: row.same_id, fileName: row.same_file_name ?? '', state: row.same_state ?? '', uploadedAt: formatInstant(row.same_uploaded_at) };
  return {
    id: row.id,
    kind: row.kind,
    fileName: row.file_name,
    byteSize: Number(row.byte_size),
    sha256: row.sha256.toString('hex'),
    state: row.state,
    delimiter: row.delimiter,
    decimalMark: row.decimal_mark,
    rowCount: row.row_count,
    errorCount: row.error_count,
    errorCounts: row.error_counts,
    uploadedBy: row.uploaded_by,
    uploadedAt: formatInstant(row.uploaded_at),
    acceptedBy: row.accepted_by,
    acceptedAt: row.accepted_at === null ? null : formatInstant(row.accepted_at),
    sameAs: same,
  };
}
