/**
 * The columns of a collections file. Order is free, names are in the first line, upper and lower case mean the same.
 * The same table is printed in the documentation and beside the upload.
 */
export type Column<Name extends string = ColumnName> = {
  readonly name: Name;
  readonly required: boolean;
  readonly holds: string;
  readonly example: string;
};

export type ColumnName =
  | 'site'
  | 'collected_on'
  | 'collected_at'
  | 'machine'
  | 'part'
  | 'removal'
  | 'coin'
  | 'note'
  | 'tokens'
  | 'house_coin'
  | 'bad_coin'
  | 'metered'
  | 'readings'
  | 'currency'
  | 'refund'
  | 'handed_to_site'
  | 'accounting_date'
  | 'collector';

export const columns: readonly Column[] = [
  { name: 'site', required: true, holds: 'Code of the site.', example: 'S-001' },
  { name: 'collected_on', required: true, holds: 'Day of the visit at the site, ISO 8601.', example: '2026-10-14' },
  { name: 'collected_at', required: false, holds: 'Local time of the visit, 24 hours; tells two visits of one day apart. Noon when left out.', example: '14:30' },
  { name: 'machine', required: true, holds: 'Tag of the machine. One line per machine and visit.', example: 'M-0042' },
  { name: 'part', required: false, holds: 'When one box was counted in several parts: 1, 2, ... up to 99.', example: '1' },
  { name: 'removal', required: false, holds: 'yes when this is the count at which the machine left the site.', example: 'no' },
  { name: 'coin', required: true, holds: 'Coins counted, in the currency of the site. Empty means 0.', example: '182.50' },
  { name: 'note', required: false, holds: 'Notes counted. Empty means 0.', example: '60.00' },
  { name: 'currency', required: false, holds: 'ISO 4217 code; when given it must be the currency of the site.', example: 'USD' },
  { name: 'refund', required: false, holds: 'Refund slips that the site paid and presented for this machine, as one amount.', example: '3.00' },
  { name: 'handed_to_site', required: false, holds: 'Cash handed to the site at this visit, which coin and note include; lines of one visit are added up.', example: '20.00' },
  { name: 'collector', required: false, holds: 'Code of the person who collected. The same on all lines of a visit.', example: 'C-3' },
  { name: 'accounting_date', required: false, holds: 'Day to which the visit is booked, when that is another one. The same on all lines of a visit.', example: '2026-10-31' },
  { name: 'tokens', required: false, holds: 'Tokens found, as name=pieces, several joined by |; the terms give them their value.', example: 'RED=12|BLUE=3' },
  { name: 'house_coin', required: false, holds: 'The site\'s own marked coin, given back at its face value: no takings, and not in coin.', example: '4.00' },
  { name: 'bad_coin', required: false, holds: 'Foreign, false or damaged coin, at the value at which the machine took it: no takings, and not in coin.', example: '0.50' },
  { name: 'metered', required: false, holds: 'Typed, for a machine whose meters are not recorded or that left the site with them unread: the cash that they imply. Needed then where the terms go by the meters; empty means not read.', example: '245.00' },
  { name: 'readings', required: false, holds: 'What the recorded meters of the machine showed, as label=value, several joined by |. A meter that is left out was not read.', example: 'Coins=00130|Notes=00014' },
];

/** Position of each column of the file, by its name. */
export type Header<Name extends string = ColumnName> = ReadonlyMap<Name, number>;

export type HeaderProblem = { readonly column: string; readonly code: 'unknown-column' | 'column-twice' | 'column-missing' };

/** Reads the first line. A name that is not known is refused, since a misspelt `note` would silently lose money. */
export function readHeader<Name extends string>(cells: readonly string[], of: readonly Column<Name>[]): { header: Header<Name>; problems: HeaderProblem[] } {
  const known = new Map<string, Name>(of.map(({ name }) => [name, name]));
  const header = new Map<Name, number>();
  const problems: HeaderProblem[] = [];
  cells.forEach((cell, position) => {
    const column = known.get(cell.trim().toLowerCase());
    if (column === undefined) problems.push({ column: cell.slice(0, 60), code: 'unknown-column' });
    else if (header.has(column)) problems.push({ column, code: 'column-twice' });
    else header.set(column, position);
  });
  for (const column of of) {
    if (column.required && !header.has(column.name)) problems.push({ column: column.name, code: 'column-missing' });
  }
  return { header, problems };
}
