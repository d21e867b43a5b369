/**
 * Every table that leaves the program as CSV (RFC 4180) is written here, and the program's own files are read back by
 * {@link withoutApostrophe}.
 */

export type CsvRow<Column extends string> = { readonly [column in Column]?: string | number | null | undefined };

export type CsvTable<Column extends string> = {
  readonly columns: readonly Column[];
  /** Columns of figures: they hold strict decimals with a point, or nothing, and are never touched. */
  readonly numbers?: readonly Column[];
};

export function csvHeader<Column extends string>({ columns }: CsvTable<Column>): string {
  return `${columns.join(',')}\r\n`;
}

/** One line. Throws where a column of figures would hold anything else. */
export function csvLine<Column extends string>({ columns, numbers = [] }: CsvTable<Column>, row: CsvRow<Column>): string {
  const cells = columns.map((column) => {
    const cell = String(row[column] ?? '');
    return numbers.includes(column) ? csvNumber(cell) : csvText(cell);
  });
  return `${cells.join(',')}\r\n`;
}

export function csvTable<Column extends string>(table: CsvTable<Column>, rows: readonly CsvRow<Column>[]): string {
  return csvHeader(table) + rows.map((row) => csvLine(table, row)).join('');
}

function csvNumber(cell: string): string {
  if (cell !== '' && !/^-?\d+(\.\d+)?$/.test(cell)) throw new Error(`a column of figures would hold ${JSON.stringify(cell)}`);
  return cell;
}

/**
 * A spreadsheet reads a cell that begins with one of these as a formula and may run it, so text gets an apostrophe in front
 * (OWASP, "CSV Injection"). Text that has apostrophes there already gets one more, so that what was written can be told.
 */
const formula = /^'*[=+\-@\t\r]/;
const guarded = /^'+[=+\-@\t\r]/;

function csvText(text: string): string {
  const harmless = formula.test(text) ? `'${text}` : text;
  return /[",\r\n]/.test(harmless) ? `"${harmless.replaceAll('"', '""')}"` : harmless;
}

/** The text of a cell that was written here: without the apostrophe that was put in front of it, and no other. */
export function withoutApostrophe(cell: string): string {
  return guarded.test(cell) ? cell.slice(1) : cell;
}
