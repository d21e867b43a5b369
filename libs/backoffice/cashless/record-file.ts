import { createHash } from 'node:crypto';
import type { CashlessEntry, RecordedCashless } from '#contracts/cashless';
import { moneyOf } from '#contracts/money';
import { bodyField, done, refused, type Outcome } from '#contracts/outcome';
import type { FieldError } from '#contracts/problem';
import type { TenantTransaction } from '#database/tenant';
import { isLocalDate, type LocalDate } from '#domain/calendar/local-date';
import { currencyDigits, type CurrencyCode } from '#domain/money/currency';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { parseCellAmount, type CellAmountProblem, type DecimalMark } from '../import/amount';
import { readLines, UnreadableFile, type FileLine } from '../import/read-file';
import { spooled } from '../import/spool';
import { operatorDecimalMark } from '../import/stage.sql';
import { headerWords, lineErrorWords, unreadableWords } from '../import/words';
import { perform } from '../perform';
import { findPlaced } from '../placement/find-placed';
import { cashlessConstraints, recordReports } from './record';

const columns = ['machine', 'day', 'gross', 'refunded', 'currency'] as const;
type Column = (typeof columns)[number];
const needed: readonly Column[] = ['machine', 'day', 'gross'];

/** Two months of a thousand readers; what is longer comes in parts. */
const MOST_LINES = 60_000;
const ERRORS_SHOWN = 1_000;

/**
 * Records a file of card takings by day: all lines, or none and what is wrong with them. The id of a report is made from
 * its machine and day, so that a file sent again, or one that overlaps an earlier one, records nothing twice.
 */
export async function recordCashlessFile(
  deps: Backoffice,
  caller: Caller,
  command: { readonly bytes: AsyncIterable<Uint8Array>; readonly decimalMark?: DecimalMark | undefined },
): Promise<Outcome<RecordedCashless>> {
  return spooled(command.bytes, (file) =>
    perform<RecordedCashless>(
      deps,
      withContents(caller, file.sha256),
      'cashless.record',
      async ({ tx, now }) => {
        const read = await readFile(file.open());
        if (!read.ok) return read;
        const decimalMark = command.decimalMark ?? (await operatorDecimalMark(tx));
        const reports = await toReports(tx, { lines: read.value, decimalMark, now });
        if (!reports.ok) return reports;
        const recorded = await recordReports(tx, reports.value, { now, newId: deps.newId });
        return recorded.ok ? recorded : onLines(recorded, read.value);
      },
      { constraints: cashlessConstraints },
    ),
  );
}

/** Of an upload only the length was known when its Idempotency-Key was read: another file of that length is another request. */
function withContents(caller: Caller, sha256: Buffer): Caller {
  if (caller.once === undefined) return caller;
  const withFile = (digest: Uint8Array): Buffer => createHash('sha256').update(digest).update(sha256).digest();
  const [kept, ...earlier] = caller.once.bodyDigests;
  return { ...caller, once: { ...caller.once, bodyDigests: [withFile(kept), ...earlier.map(withFile)] } };
}

type Line = { readonly lineNumber: number; readonly cell: (column: Column) => string };

async function readFile(bytes: AsyncIterable<Uint8Array>): Promise<Outcome<Line[]>> {
  const lines: Line[] = [];
  let positions: ReadonlyMap<string, number> | null = null;
  try {
    for await (const piece of readLines(bytes, () => undefined)) {
      for (const line of piece) {
        if (positions === null) {
          const header = headerOf(line);
          if (!header.ok) return header;
          positions = header.value;
        } else lines.push(toLine(line, positions));
      }
      if (lines.length > MOST_LINES) return refused('file-not-readable', { detail: `A file holds at most ${MOST_LINES} lines: send it in parts.` });
    }
  } catch (error) {
    if (error instanceof UnreadableFile) return refused('file-not-readable', { detail: `Line ${error.lineNumber}: ${unreadableWords[error.code]}` });
    throw error;
  }
  return lines.length === 0 ? refused('file-not-readable', { detail: 'There is no line below the first.' }) : done(lines);
}

function headerOf({ cells }: FileLine): Outcome<ReadonlyMap<string, number>> {
  const names = cells.map((cell) => cell.trim().toLowerCase());
  const known: readonly string[] = columns;
  const problems = [
    ...names.filter((name) => !known.includes(name)).map((column) => ({ column: column.slice(0, 60), code: 'unknown-column' as const })),
    ...names.filter((name, index) => names.indexOf(name) < index).map((column) => ({ column, code: 'column-twice' as const })),
    ...needed.filter((column) => !names.includes(column)).map((column) => ({ column, code: 'column-missing' as const })),
  ];
  if (problems.length === 0) return done(new Map(names.map((name, index) => [name, index])));
  return refused('file-not-readable', {
    detail: 'The first line does not hold the names of the columns.',
    errors: problems.map(({ column, code }) => ({ in: 'body', pointer: column, code, message: headerWords[code] })),
  });
}

function toLine({ lineNumber, cells }: FileLine, positions: ReadonlyMap<string, number>): Line {
  return { lineNumber, cell: (column) => (cells[positions.get(column) ?? -1] ?? '').trim() };
}

/** What the lines report, with amounts in the currency of the site where each machine stood. */
async function toReports(tx: TenantTransaction, file: { lines: readonly Line[]; decimalMark: DecimalMark; now: Date }): Promise<Outcome<CashlessEntry[]>> {
  const { lines, decimalMark, now } = file;
  const missing = lines.flatMap((line) => [
    ...needed.flatMap((column) => (line.cell(column) === '' ? [lineError(line, column, 'cell-missing')] : [])),
    ...(line.cell('day') === '' || isLocalDate(line.cell('day')) ? [] : [lineError(line, 'day', 'not-a-date')]),
  ]);
  if (missing.length > 0) return wrongLines(missing);
  const placed = await findPlaced(
    tx,
    lines.map((line) => ({ machineTag: line.cell('machine').toUpperCase(), day: line.cell('day') as LocalDate, siteId: null, path: ['lines', line.lineNumber], dayField: 'day' })),
    now,
  );
  const errors: FieldError[] = [];
  const reports = lines.flatMap((line, index): CashlessEntry[] => {
    const at = placed[index];
    if (at === undefined) return [];
    if ('code' in at) {
      const column = at.code === 'in-the-future' ? 'day' : 'machine';
      errors.push({ ...bodyField(['lines', line.lineNumber, column]), code: at.code, message: at.message });
      return [];
    }
    const { currency } = at.site;
    if (line.cell('currency') !== '' && line.cell('currency').toUpperCase() !== currency) errors.push(lineError(line, 'currency', 'other-currency'));
    const [gross, refunded] = (['gross', 'refunded'] as const).map((column) => amountOf(line, column, { currency, decimalMark }));
    for (const each of [gross, refunded]) if (typeof each === 'object') errors.push(each);
    if (typeof gross !== 'bigint' || typeof refunded !== 'bigint') return [];
    const [machineTag, localDate] = [line.cell('machine').toUpperCase(), line.cell('day') as LocalDate];
    return [{ id: reportId(machineTag, localDate), machineTag, localDate, gross: moneyOf(gross, currency), refunded: moneyOf(refunded, currency) }];
  });
  return errors.length > 0 ? wrongLines(errors) : done(reports);
}

function amountOf(line: Line, column: 'gross' | 'refunded', as: { currency: CurrencyCode; decimalMark: DecimalMark }): bigint | FieldError {
  const text = line.cell(column);
  const amount = text === '' ? 0n : parseCellAmount({ text, digits: currencyDigits(as.currency), decimalMark: as.decimalMark });
  return typeof amount === 'bigint' ? amount : lineError(line, column, amount);
}

/** UUID version 8 (RFC 9562), the same for the same machine and day. */
function reportId(machineTag: string, localDate: LocalDate): string {
  const hex = createHash('sha256').update(`card takings of ${machineTag} on ${localDate}`, 'utf8').digest('hex');
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-8${hex.slice(13, 16)}-a${hex.slice(17, 20)}-${hex.slice(20, 32)}`;
}

function lineError(line: Line, column: Column, code: CellAmountProblem | 'cell-missing' | 'not-a-date' | 'other-currency'): FieldError {
  return { ...bodyField(['lines', line.lineNumber, column]), code, message: lineErrorWords[code] };
}

function wrongLines(errors: readonly FieldError[]): Outcome<never> {
  return refused('invalid-command', { detail: `Nothing of the file is recorded. Errors: ${errors.length}.`, errors: errors.slice(0, ERRORS_SHOWN) });
}

/** What was wrong with the reports, said of the lines that they came from. */
function onLines(recorded: Outcome<RecordedCashless>, lines: readonly Line[]): Outcome<RecordedCashless> {
  if (recorded.ok) return recorded;
  const { errors = [], ...failure } = recorded.failure;
  const onLine = (error: FieldError): FieldError => {
    const [, , index = '', field = ''] = error.pointer.split('/');
    const line = lines[Number(index)];
    if (line === undefined) return error;
    const column = field === 'id' || field === 'localDate' ? 'day' : field;
    // Made from machine and day, an id that is taken is a day that was reported otherwise.
    const said = error.code === 'taken' || error.code === 'twice' ? { code: 'reported-already', message: 'There is a report of this machine for this day with other figures: correct that one.' } : {};
    return { ...error, ...bodyField(['lines', line.lineNumber, column]), ...said };
  };
  return refused(failure.code, { ...failure, errors: errors.slice(0, ERRORS_SHOWN).map(onLine) });
}
