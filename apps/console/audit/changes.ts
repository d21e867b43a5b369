import type { AuditEntry } from '../api/shapes';

export interface ColumnChange {
  readonly column: string;
  readonly before: string;
  readonly after: string;
}

/** Columns that say nothing to a reader: which row it is, and that it was changed. */
const silent = new Set(['id', 'tenant_id', 'revision', 'created_at', 'updated_at']);

/** What of an entry changed, column by column; of a new thing nothing, for it stands on the page. */
export function columnsChanged({ action, before, after }: AuditEntry, nothing: string): readonly ColumnChange[] {
  if (action !== 'update') return [];
  const columns = [...new Set([...Object.keys(before ?? {}), ...Object.keys(after ?? {})])].filter((column) => !silent.has(column));
  return columns.map((column) => ({ column: column.replaceAll('_', ' '), before: written(before?.[column], nothing), after: written(after?.[column], nothing) }));
}

function written(value: unknown, nothing: string): string {
  if (value === null || value === undefined || value === '') return nothing;
  return typeof value === 'string' ? value : JSON.stringify(value);
}
