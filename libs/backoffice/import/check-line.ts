import { isLocalDate, type LocalDate } from '#domain/calendar/local-date';
import { currencyDigits, type CurrencyCode } from '#domain/money/currency';
import type { TokenPieces } from '../collection/box-contents';
import { placementOn, type Standing } from '../placement/standing';
import { parseCellAmount, type DecimalMark } from './amount';
import type { ColumnName, Header } from './columns';
import type { FileLine } from './read-file';

/** Everything of the operator that lines of the file are held against, read once per file. */
export type Directory = {
  readonly sites: ReadonlyMap<string, DirectorySite>;
  readonly machines: ReadonlyMap<string, DirectoryMachine>;
  /** The operator's own people by code. */
  readonly people: ReadonlyMap<string, { readonly id: string }>;
};

export type DirectorySite = {
  readonly id: string;
  readonly currency: CurrencyCode;
  /** Today's date at the site: nothing is collected later than that. */
  readonly today: LocalDate;
  readonly openedOn: LocalDate;
};

export type DirectoryMachine = { readonly id: string; readonly placements: readonly Standing[] };

/** A line that may enter the books. Amounts in minor units of the site's currency. */
export type CheckedLine = {
  readonly lineNumber: number;
  readonly siteId: string;
  readonly placementId: string;
  readonly machineId: string;
  readonly currency: CurrencyCode;
  readonly collectedOn: LocalDate;
  readonly collectedAt: string;
  readonly accountingDate: LocalDate;
  readonly collectedBy: string | null;
  readonly part: number;
  readonly removal: boolean;
  readonly coinMinor: bigint;
  readonly noteMinor: bigint;
  readonly tokens: TokenPieces;
  readonly houseCoinMinor: bigint;
  readonly badCoinMinor: bigint;
  /** Null where the meters were not read. */
  readonly meteredMinor: bigint | null;
  /** What meters showed, by their labels, as digits. */
  readonly readings: { readonly [label: string]: string };
  readonly refundMinor: bigint;
  readonly handedMinor: bigint;
};

export type LineErrorCode =
  | 'cell-missing'
  | 'too-many-cells'
  | 'unknown-site'
  | 'unknown-machine'
  | 'unknown-person'
  | 'not-placed-here'
  | 'not-a-date'
  | 'not-a-time'
  | 'date-in-the-future'
  | 'before-site-opened'
  | 'not-an-amount'
  | 'negative-amount'
  | 'too-many-digits'
  | 'amount-too-large'
  | 'other-currency'
  | 'not-a-part'
  | 'not-yes-or-no'
  | 'not-tokens'
  | 'unknown-token'
  | 'metered-amount-missing'
  | 'meters-recorded'
  | 'not-readings'
  | 'unknown-meter'
  | 'more-digits-than-meter'
  | 'read-twice'
  | 'machine-twice'
  | 'visit-booked-to-two-dates'
  | 'visit-by-two-collectors'
  | 'more-than-counted'
  | 'visit-known'
  | 'no-agreement';

export type LineError = {
  readonly lineNumber: number;
  readonly column: ColumnName | '';
  readonly code: LineErrorCode;
  readonly value: string;
};

export type { DecimalMark } from './amount';

type Reading = {
  readonly line: FileLine;
  readonly header: Header;
  readonly decimalMark: DecimalMark;
  readonly errors: LineError[];
};

/**
 * Holds one line against the directory. Every cell is looked at, so that one pass over a bad file shows all there is to
 * mend. Returns the line, or its errors.
 */
export function checkLine(input: { line: FileLine; header: Header; directory: Directory; decimalMark: DecimalMark }): CheckedLine | LineError[] {
  const { directory, line, header } = input;
  const reading: Reading = { line, header, decimalMark: input.decimalMark, errors: [] };
  if (line.cells.length > header.size) report(reading, '', 'too-many-cells', String(line.cells.length));

  const site = known(reading, 'site', directory.sites, 'unknown-site');
  const machine = known(reading, 'machine', directory.machines, 'unknown-machine');
  const collectedOn = readDate(reading, 'collected_on', true);
  const accountingDate = readDate(reading, 'accounting_date', false) ?? collectedOn;
  const collectedAt = readTime(reading);
  const collector = cell(reading, 'collector') === '' ? null : known(reading, 'collector', directory.people, 'unknown-person');
  const part = readPart(reading);
  const removal = readYesNo(reading, 'removal');
  const digits = site === null ? 3 : currencyDigits(site.currency);
  const amounts = {
    coinMinor: readAmount(reading, 'coin', digits),
    noteMinor: readAmount(reading, 'note', digits),
    houseCoinMinor: readAmount(reading, 'house_coin', digits),
    badCoinMinor: readAmount(reading, 'bad_coin', digits),
    meteredMinor: cell(reading, 'metered') === '' ? null : readAmount(reading, 'metered', digits),
    tokens: readTokens(reading),
    readings: readReadings(reading),
    refundMinor: readAmount(reading, 'refund', digits),
    handedMinor: readAmount(reading, 'handed_to_site', digits),
  };
  if (site !== null) checkAgainstSite(reading, site, [collectedOn, accountingDate]);
  if (site === null || machine === null || collectedOn === null || accountingDate === null) return reading.errors;

  const placement = placementOn({ placements: machine.placements, siteId: site.id, day: collectedOn, removal });
  if (placement === null) report(reading, 'machine', 'not-placed-here', cell(reading, 'machine'));
  if (reading.errors.length > 0 || placement === null) return reading.errors;
  return {
    lineNumber: line.lineNumber,
    siteId: site.id,
    placementId: placement.id,
    machineId: machine.id,
    currency: site.currency,
    collectedOn,
    collectedAt,
    accountingDate,
    collectedBy: collector?.id ?? null,
    part,
    removal,
    ...amounts,
  };
}

function checkAgainstSite(reading: Reading, site: DirectorySite, [collectedOn, accountingDate]: (LocalDate | null)[]): void {
  const currency = cell(reading, 'currency');
  if (currency !== '' && currency !== site.currency) report(reading, 'currency', 'other-currency', currency);
  if (collectedOn !== null && collectedOn !== undefined) {
    if (collectedOn > site.today) report(reading, 'collected_on', 'date-in-the-future', collectedOn);
    if (collectedOn < site.openedOn) report(reading, 'collected_on', 'before-site-opened', collectedOn);
  }
  if (accountingDate !== null && accountingDate !== undefined && accountingDate !== collectedOn && accountingDate > site.today) {
    report(reading, 'accounting_date', 'date-in-the-future', accountingDate);
  }
}

function cell(reading: Reading, column: ColumnName): string {
  const position = reading.header.get(column);
  return position === undefined ? '' : (reading.line.cells[position] ?? '').trim();
}

function report(reading: Reading, column: ColumnName | '', code: LineErrorCode, value: string): void {
  reading.errors.push({ lineNumber: reading.line.lineNumber, column, code, value: value.slice(0, 100) });
}

function known<Entry>(reading: Reading, column: ColumnName, entries: ReadonlyMap<string, Entry>, code: LineErrorCode): Entry | null {
  const text = cell(reading, column);
  const entry = entries.get(text.toUpperCase());
  if (entry === undefined) report(reading, column, text === '' ? 'cell-missing' : code, text);
  return entry ?? null;
}

function readDate(reading: Reading, column: ColumnName, required: boolean): LocalDate | null {
  const text = cell(reading, column);
  if (text === '') {
    if (required) report(reading, column, 'cell-missing', text);
    return null;
  }
  if (isLocalDate(text)) return text;
  report(reading, column, 'not-a-date', text);
  return null;
}

function readTime(reading: Reading): string {
  const text = cell(reading, 'collected_at');
  if (text === '') return '12:00';
  if (!/^([01]\d|2[0-3]):[0-5]\d$/.test(text)) report(reading, 'collected_at', 'not-a-time', text);
  return text;
}

function readPart(reading: Reading): number {
  const text = cell(reading, 'part');
  if (text === '') return 1;
  if (/^[1-9]\d?$/.test(text)) return Number(text);
  report(reading, 'part', 'not-a-part', text);
  return 1;
}

function readYesNo(reading: Reading, column: ColumnName): boolean {
  const text = cell(reading, column).toLowerCase();
  if (text !== '' && text !== 'yes' && text !== 'no') report(reading, column, 'not-yes-or-no', text);
  return text === 'yes';
}

const MOST_PIECES = 1_000_000;

/** `RED=12|BLUE=3`. Whether the terms know them is asked of all lines at once. */
function readTokens(reading: Reading): TokenPieces {
  const text = cell(reading, 'tokens');
  if (text === '') return {};
  const pieces = new Map<string, number>();
  for (const part of text.split('|')) {
    const match = /^(.{1,64})=([1-9]\d{0,6})$/.exec(part.trim());
    const [, tokenId = '', number = ''] = match ?? [];
    if (match === null || pieces.has(tokenId.trim()) || Number(number) > MOST_PIECES) {
      report(reading, 'tokens', 'not-tokens', text);
      return {};
    }
    pieces.set(tokenId.trim(), Number(number));
  }
  return Object.fromEntries(pieces);
}

/** `Coins=00130|Notes=00014`. Whether the machine has such meters is asked of all lines at once. */
function readReadings(reading: Reading): CheckedLine['readings'] {
  const text = cell(reading, 'readings');
  if (text === '') return {};
  const shown = new Map<string, string>();
  for (const part of text.split('|')) {
    const [, label = '', digits = ''] = /^(.{1,200})=(\d{1,12})$/.exec(part.trim()) ?? [];
    if (label.trim() === '' || shown.has(label.trim())) {
      report(reading, 'readings', 'not-readings', text);
      return {};
    }
    shown.set(label.trim(), String(BigInt(digits)));
  }
  return Object.fromEntries(shown);
}

function readAmount(reading: Reading, column: ColumnName, digits: number): bigint {
  const text = cell(reading, column);
  if (text === '') return 0n;
  const amount = parseCellAmount({ text, digits, decimalMark: reading.decimalMark });
  return typeof amount === 'bigint' ? amount : refuse(reading, column, amount, text);
}

function refuse(reading: Reading, column: ColumnName, code: LineErrorCode, value: string): bigint {
  report(reading, column, code, value);
  return 0n;
}
