import { formatInstant } from '#contracts/format';
import type { TextErased } from '#domain/evidence/leaf';
import type { ErasureRow } from './erasure.sql';

/** What the evidence log keeps of a text that was changed: made when it is, and again when the log is compared with the books. */
export function erasureEntry(row: ErasureRow): TextErased {
  return {
    format: 1,
    kind: 'text-erased',
    erasureId: row.id,
    personId: row.person_id,
    table: row.table_name,
    column: row.column_name,
    row: row.row_id,
    tookPart: row.took_part,
    digestBefore: row.before_digest.toString('hex'),
    digestAfter: row.after_digest === null ? null : row.after_digest.toString('hex'),
    erasedBy: row.erased_by,
    erasedAt: formatInstant(row.erased_at),
  };
}
