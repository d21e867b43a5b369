/**
 * The elements of audit data that tell what a machine took and gave, by segment and place: EVA DTS, the open data transfer
 * standard of the vending trade (the European Vending Association gives version 6.1 to whoever registers). Places as open
 * descriptions of the standard list them; that CA3 and the envelope are read rightly was tried on transmissions that public
 * programs of the trade carry in their tests, checksum and totals included.
 *
 * Each figure is told twice, since the machine was first set up and since it was last reset, and segments differ in which
 * of the two comes first: CA2, VA1 to VA3, DA2, DB2 and TA2 begin with the former, CA3, CA4, CA8 and CA10 with the latter.
 * The laws of `sums.ts` would not come out if they were taken the wrong way round.
 */
export const figureNames = [
  'sales', 'testVends', 'testVendsMade', 'freeVends', 'cashSales', 'cashVends', 'cashIn', 'toBox', 'toTubes', 'notesIn', 'notesInOlder', 'notesToRecycler',
  'paidOut', 'paidOutByHand', 'overpaid', 'filled', 'tubeContents', 'cardSales', 'secondCardSales', 'tokenSales',
] as const;
export type FigureName = (typeof figureNames)[number];

/** Where the two sides of a figure stand in its segment, counted from 1. */
export interface FigurePlace {
  readonly name: FigureName;
  readonly segment: string;
  /** Null for what lies in the machine now, and is not counted since anything: it stands under `sinceSetUp`. */
  readonly sinceReset: number | null;
  readonly sinceSetUp: number;
}

export const figurePlaces: readonly FigurePlace[] = [
  { name: 'sales', segment: 'VA1', sinceSetUp: 1, sinceReset: 3 },
  { name: 'testVends', segment: 'VA2', sinceSetUp: 1, sinceReset: 3 },
  { name: 'testVendsMade', segment: 'VA2', sinceSetUp: 2, sinceReset: 4 },
  { name: 'freeVends', segment: 'VA3', sinceSetUp: 1, sinceReset: 3 },
  { name: 'cashSales', segment: 'CA2', sinceSetUp: 1, sinceReset: 3 },
  { name: 'cashVends', segment: 'CA2', sinceSetUp: 2, sinceReset: 4 },
  { name: 'cashIn', segment: 'CA3', sinceReset: 1, sinceSetUp: 5 },
  { name: 'toBox', segment: 'CA3', sinceReset: 2, sinceSetUp: 6 },
  { name: 'toTubes', segment: 'CA3', sinceReset: 3, sinceSetUp: 7 },
  // The older places were filled in two ways, in units of the file or in whole units of the currency; the newer ones never.
  { name: 'notesInOlder', segment: 'CA3', sinceReset: 4, sinceSetUp: 8 },
  { name: 'notesIn', segment: 'CA3', sinceReset: 9, sinceSetUp: 10 },
  { name: 'notesToRecycler', segment: 'CA3', sinceReset: 11, sinceSetUp: 12 },
  { name: 'paidOut', segment: 'CA4', sinceReset: 1, sinceSetUp: 3 },
  { name: 'paidOutByHand', segment: 'CA4', sinceReset: 2, sinceSetUp: 4 },
  { name: 'overpaid', segment: 'CA8', sinceReset: 1, sinceSetUp: 2 },
  { name: 'filled', segment: 'CA10', sinceReset: 1, sinceSetUp: 2 },
  // From memory: what public transmissions at hand do not carry.
  { name: 'tubeContents', segment: 'CA15', sinceReset: null, sinceSetUp: 1 },
  { name: 'cardSales', segment: 'DA2', sinceSetUp: 1, sinceReset: 3 },
  { name: 'secondCardSales', segment: 'DB2', sinceSetUp: 1, sinceReset: 3 },
  { name: 'tokenSales', segment: 'TA2', sinceSetUp: 1, sinceReset: 3 },
];

/** What is a number of sales or of test vends, and no amount. */
export const counted: ReadonlySet<FigureName> = new Set(['cashVends', 'testVendsMade']);

export type Side = 'sinceReset' | 'sinceSetUp';

/** `CA302`: the name of an element, as the standard writes it. */
export function elementOf(segment: string, place: number): string {
  return `${segment}${String(place).padStart(2, '0')}`;
}

/** The element that tells one side of a figure. */
export function elementOfFigure(name: FigureName, side: Side): string {
  const place = figurePlaces.find((each) => each.name === name);
  const at = place?.[side] ?? null;
  if (place === undefined || at === null) throw new Error(`no element tells ${name}`);
  return elementOf(place.segment, at);
}
