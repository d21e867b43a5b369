import { codeSchema } from '#contracts/format';
import { lockPlaceSchema } from '#contracts/machine-lock';
import { isLocalDate, type LocalDate } from '#domain/calendar/local-date';
import type { Header } from '../columns';
import type { FileLine } from '../read-file';
import type { FileError } from '../stage.sql';
import type { KeyColumnName } from './columns';

/** `outsideCopies`: null where the line does not say. */
type OfCode = { readonly lineNumber: number; readonly code: string; readonly class: 'access' | 'cash-box'; readonly outsideCopies: boolean | null };
export type CopyLine = OfCode & { readonly about: 'copy'; readonly copy: string; readonly store: string; readonly with: string | null; readonly found: boolean };
export type LockLine = OfCode & {
  readonly about: 'lock';
  readonly machine: string;
  readonly lock: string;
  readonly opens: 'play-area' | 'cash-box' | 'everything';
  readonly fittedOn: LocalDate | null;
};
/** A line of a file of keys, by the codes that stand in it. */
export type KeyLine = CopyLine | LockLine;

const openings = ['play-area', 'cash-box', 'everything'] as const;
const SHOWN_CHARACTERS = 60;

/** Reads a line by itself; what its codes mean is for the books to say. */
export function readKeyLine({ line, header }: { line: FileLine; header: Header<KeyColumnName> }): KeyLine | FileError[] {
  const errors: FileError[] = [];
  const cell = (column: KeyColumnName): string => line.cells[header.get(column) ?? -1]?.trim() ?? '';
  const report = (column: KeyColumnName | '', code: string): void => {
    errors.push({ lineNumber: line.lineNumber, column, code, value: column === '' ? '' : cell(column).slice(0, SHOWN_CHARACTERS) });
  };
  const code = (column: KeyColumnName, isNeeded = true): string => {
    const text = cell(column).toUpperCase();
    if (text === '' && isNeeded) report(column, 'cell-missing');
    else if (text !== '' && !codeSchema.safeParse(text).success) report(column, 'not-a-code');
    return text;
  };
  const yes = (column: KeyColumnName): boolean => {
    const text = cell(column).toLowerCase();
    if (text !== '' && text !== 'yes' && text !== 'no') report(column, 'not-yes-or-no');
    return text === 'yes';
  };
  if (line.cells.length > header.size) report('', 'too-many-cells');
  const keyClass = cell('class').toLowerCase();
  if (keyClass !== 'access' && keyClass !== 'cash-box') report('class', keyClass === '' ? 'cell-missing' : 'not-a-class');
  const ofCode: OfCode = { lineNumber: line.lineNumber, code: code('code'), class: keyClass === 'access' ? 'access' : 'cash-box', outsideCopies: cell('outside_copies') === '' ? null : yes('outside_copies') };
  if ((cell('copy') === '') === (cell('machine') === '')) {
    report('', 'copy-or-lock');
    return errors;
  }
  const notUsed = cell('copy') === '' ? (['store', 'with', 'found'] as const) : (['lock', 'opens', 'fitted_on'] as const);
  for (const column of notUsed) {
    // A sheet of both kinds of lines says no in every cell below `found`.
    if (cell(column) !== '' && !(column === 'found' && cell(column).toLowerCase() === 'no')) report(column, 'not-of-this-line');
  }
  const read: KeyLine = cell('copy') === '' ? lockOf() : copyOf();
  return errors.length > 0 ? errors : read;

  function copyOf(): CopyLine {
    return { ...ofCode, about: 'copy', copy: code('copy'), store: code('store'), with: code('with', false) || null, found: yes('found') };
  }

  function lockOf(): LockLine {
    const opens = openings.find((each) => each === cell('opens').toLowerCase());
    const fittedOn = cell('fitted_on');
    if (opens === undefined) report('opens', cell('opens') === '' ? 'cell-missing' : 'not-an-opening');
    if (!lockPlaceSchema.safeParse(cell('lock')).success) report('lock', cell('lock') === '' ? 'cell-missing' : 'not-a-lock-place');
    if (fittedOn !== '' && !isLocalDate(fittedOn)) report('fitted_on', 'not-a-date');
    return { ...ofCode, about: 'lock', machine: code('machine'), lock: cell('lock'), opens: opens ?? 'everything', fittedOn: isLocalDate(fittedOn) ? fittedOn : null };
  }
}
