import type { AuditEntry } from '../api/shapes';

export interface ColumnChange {
  /** As the reader calls it. */
  readonly column: string;
  /** Null on both sides where only that it was changed can be told: ids name nothing to a reader. */
  readonly values: { readonly before: string; readonly after: string } | null;
}

interface Reader {
  /** What columns are called; one that is not listed keeps its own name. */
  readonly columns: Readonly<Record<string, string | undefined>>;
  /** How an empty value is called. */
  readonly nothing: string;
  readonly day: (day: string) => string;
  readonly moment: (instant: string) => string;
  /** What a value of a column is called, of a kind of thing; undefined where it is written as it is. */
  readonly value: (kind: string, column: string, value: string) => string | undefined;
  /** Who acted, `user:<id>` and the like, by name. */
  readonly actor: (actor: string) => string;
}

/** Columns that say nothing to a reader: which row it is, and that it was changed. */
const silent = new Set(['id', 'tenant_id', 'revision', 'created_at', 'updated_at']);

/** What of an entry changed, column by column; of a new thing nothing, for it stands on the page. */
export function columnsChanged({ kind, action, before, after }: AuditEntry, reader: Reader): readonly ColumnChange[] {
  if (action !== 'update') return [];
  const said = (value: unknown, column: string): string => (typeof value === 'string' ? reader.value(kind, column, value) : undefined) ?? written(value, reader);
  const columns = [...new Set([...Object.keys(before ?? {}), ...Object.keys(after ?? {})])].filter((column) => !silent.has(column));
  return columns.map((column) => ({
    column: reader.columns[column] ?? column.replaceAll('_', ' '),
    values: column.endsWith('_id') ? null : { before: said(before?.[column], column), after: said(after?.[column], column) },
  }));
}

const ACTOR = /^(user|token|system|operator):/;

function written(value: unknown, { nothing, day, moment, actor }: Reader): string {
  if (value === null || value === undefined || value === '') return nothing;
  if (Array.isArray(value)) return value.length === 0 ? nothing : value.map(String).join(', ');
  if (typeof value !== 'string') return JSON.stringify(value);
  if (ACTOR.test(value)) return actor(value);
  if (/^\d{4}-\d\d-\d\d$/.test(value)) return day(value);
  return /^\d{4}-\d\d-\d\dT/.test(value) ? moment(value) : value;
}
