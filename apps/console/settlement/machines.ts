import type { SettlementLine } from '../api/shapes';
import { sum, type Money } from '../format/money';

/** Columns of the table of machines. A column of which no machine has anything is left out. */
export const machineColumns = ['cash', 'cashless', 'other', 'refunds', 'net', 'tax'] as const;
export type MachineColumn = (typeof machineColumns)[number];

const columnOf: Readonly<Record<string, MachineColumn>> = {
  cash: 'cash',
  cashless: 'cashless',
  tokens: 'other',
  'metered-difference': 'other',
  'break-in': 'other',
  refund: 'refunds',
  'net-takings': 'net',
  'tax-of-machine': 'tax',
};

export interface MachineRow {
  readonly tag: string;
  readonly figures: Readonly<Partial<Record<MachineColumn, Money>>>;
  readonly lines: readonly SettlementLine[];
}

/** One row per machine, by tag, with the sums of its lines. */
export function machineRows(lines: readonly SettlementLine[]): MachineRow[] {
  const byTag = new Map<string, SettlementLine[]>();
  for (const line of lines) {
    if (line.machineTag !== null) byTag.set(line.machineTag, [...(byTag.get(line.machineTag) ?? []), line]);
  }
  return [...byTag]
    .sort(([one], [other]) => one.localeCompare(other, undefined, { numeric: true }))
    .map(([tag, own]) => ({ tag, figures: figuresOf(own), lines: own }));
}

/** The columns that at least one machine has a figure in, in their order. */
export function columnsOf(rows: readonly MachineRow[]): MachineColumn[] {
  return machineColumns.filter((column) => rows.some((row) => row.figures[column] !== undefined));
}

export function columnTotal(rows: readonly MachineRow[], column: MachineColumn): Money | null {
  return sum(rows.flatMap((row) => row.figures[column] ?? []));
}

function figuresOf(lines: readonly SettlementLine[]): Partial<Record<MachineColumn, Money>> {
  const figures: Partial<Record<MachineColumn, Money>> = {};
  for (const column of machineColumns) {
    const total = sum(lines.filter((line) => columnOf[line.kind] === column).map((line) => line.amount));
    if (total !== null) figures[column] = total;
  }
  return figures;
}
