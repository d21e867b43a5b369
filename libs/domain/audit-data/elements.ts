/**
 * The elements of audit data that tell what a machine took and gave, by segment and place: EVA DTS, the open data transfer
 * standard of the vending trade (element numbers from memory; CA2 and CA3 as published in open descriptions of them).
 *
 * Each figure is told twice, since the machine was first set up and since it was last reset, and segments differ in which
 * of the two comes first: CA2, VA1, VA2, DA2 and TA2 begin with the former, CA3, CA4, CA8 and CA10 with the latter. The sums
 * that `checkSums` makes would not come out if they were taken the wrong way round.
 */
export const figureNames = ['cashSales', 'cashIn', 'toBox', 'toTubes', 'notesIn', 'paidOut', 'paidOutByHand', 'overpaid', 'filled', 'sales', 'testVends', 'cardSales', 'tokenSales'] as const;
export type FigureName = (typeof figureNames)[number];

/** Where the two sides of a figure stand in its segment, counted from 1. */
export interface FigurePlace {
  readonly name: FigureName;
  readonly segment: string;
  readonly sinceReset: number;
  readonly sinceSetUp: number;
}

export const figurePlaces: readonly FigurePlace[] = [
  { name: 'sales', segment: 'VA1', sinceSetUp: 1, sinceReset: 3 },
  { name: 'testVends', segment: 'VA2', sinceSetUp: 1, sinceReset: 3 },
  { name: 'cashSales', segment: 'CA2', sinceSetUp: 1, sinceReset: 3 },
  { name: 'cashIn', segment: 'CA3', sinceReset: 1, sinceSetUp: 5 },
  { name: 'toBox', segment: 'CA3', sinceReset: 2, sinceSetUp: 6 },
  { name: 'toTubes', segment: 'CA3', sinceReset: 3, sinceSetUp: 7 },
  { name: 'notesIn', segment: 'CA3', sinceReset: 4, sinceSetUp: 8 },
  { name: 'paidOut', segment: 'CA4', sinceReset: 1, sinceSetUp: 3 },
  { name: 'paidOutByHand', segment: 'CA4', sinceReset: 2, sinceSetUp: 4 },
  { name: 'overpaid', segment: 'CA8', sinceReset: 1, sinceSetUp: 2 },
  { name: 'filled', segment: 'CA10', sinceReset: 1, sinceSetUp: 2 },
  { name: 'cardSales', segment: 'DA2', sinceSetUp: 1, sinceReset: 3 },
  { name: 'tokenSales', segment: 'TA2', sinceSetUp: 1, sinceReset: 3 },
];

/** `CA302`: the name of an element, as the standard writes it. */
export function elementOf(segment: string, place: number): string {
  return `${segment}${String(place).padStart(2, '0')}`;
}
