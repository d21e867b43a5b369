import { csvText } from '../journal/csv';

/** A table as CSV (RFC 4180). Every cell is text of ours or of the user's; see {@link csvText} for what begins a formula. */
export function tableCsv<Column extends string>(columns: readonly Column[], rows: readonly { readonly [column in Column]?: string | number | null | undefined }[]): string {
  const lines = rows.map((row) => columns.map((column) => csvText(String(row[column] ?? ''))).join(','));
  return [columns.join(','), ...lines].map((line) => `${line}\r\n`).join('');
}
