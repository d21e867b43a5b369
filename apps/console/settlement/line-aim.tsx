import { createContext, use, useCallback, useMemo, useState, type ReactNode } from 'react';
import type { SettlementLine } from '../api/shapes';
import { waterfall } from './waterfall';

type Lines = readonly Pick<SettlementLine, 'lineNumber'>[];

interface LineAim {
  /** Whether this is where a wanted line is to be shown. */
  readonly isWanted: (lines: Lines) => boolean;
  /** Null for a line that stands in no table. */
  readonly wayTo: (lineNumber: number) => (() => void) | null;
  /** Said by the line that was wanted once the reader is there, or it would take the focus again later. */
  readonly arrived: () => void;
  readonly isInWaterfall: (lineNumber: number) => boolean;
}

const LineAimContext = createContext<LineAim | null>(null);

interface LineAimProviderProps {
  /** The lines of each waterfall. */
  readonly blocks: readonly (readonly SettlementLine[])[];
  /** Lines that are also listed by machine. */
  readonly own: readonly SettlementLine[];
  readonly children: ReactNode;
}

/** Around the tables of one settlement: from the reason of a figure, people go to the lines that it was reckoned from. */
export function LineAimProvider({ blocks, own, children }: LineAimProviderProps) {
  const [wanted, setWanted] = useState<number | null>(null);
  const value = useMemo((): LineAim => {
    const shown = new Set(blocks.flatMap((lines) => waterfall(lines)).flatMap((row) => [...row.lines, ...row.details]).map((line) => line.lineNumber));
    const ofMachines = new Set(own.filter((line) => line.machineTag !== null).map((line) => line.lineNumber));
    return {
      isWanted: (lines) => lines.some((line) => line.lineNumber === wanted),
      wayTo: (lineNumber) => (shown.has(lineNumber) || ofMachines.has(lineNumber) ? () => setWanted(lineNumber) : null),
      arrived: () => setWanted(null),
      isInWaterfall: (lineNumber) => shown.has(lineNumber),
    };
  }, [blocks, own, wanted]);
  return <LineAimContext value={value}>{children}</LineAimContext>;
}

/** Around the list of machines, which shows most lines a second time: readers are brought here only for what stands nowhere else. */
export function SecondPlace({ children }: { readonly children: ReactNode }) {
  const aim = useLineAim();
  const { isWanted, isInWaterfall } = aim;
  const isWantedHere = useCallback((lines: Lines) => isWanted(lines.filter((line) => !isInWaterfall(line.lineNumber))), [isWanted, isInWaterfall]);
  return <LineAimContext value={{ ...aim, isWanted: isWantedHere }}>{children}</LineAimContext>;
}

export function useLineAim(): LineAim {
  const aim = use(LineAimContext);
  if (aim === null) throw new Error('There is no settlement around this line');
  return aim;
}
