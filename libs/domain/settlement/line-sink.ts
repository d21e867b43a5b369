/** Collects the lines of one period; explanations are only built when somebody asked for them. */
import type { Explanation, Formula, InputRef, Line, PeriodLine, RuleRef } from '#domain/settlement/lines';
import type { Rational } from '#domain/money/rational';

export interface LineSink {
  readonly explain: boolean;
  /** Whether explanations also state what those of the issued corpus leave out. */
  readonly inFull: boolean;
  readonly lines: Line[];
  nextNumber: number;
}

export function lineSink({ explain, inFull = false, firstNumber }: { explain: boolean; inFull?: boolean; firstNumber: number }): LineSink {
  return { explain, inFull, lines: [], nextNumber: firstNumber };
}

/** What an explanation states; what is left out is empty. */
export interface Reason {
  readonly formula: Formula;
  readonly inputs?: readonly InputRef[];
  readonly rule?: RuleRef;
  readonly exact?: Rational;
  readonly parameters?: Readonly<Record<string, string>>;
}

export function writeLine(sink: LineSink, line: PeriodLine, reason: () => Reason): void {
  const { key, step, kind, about, amountMinor } = line;
  const number = sink.nextNumber;
  sink.nextNumber += 1;
  sink.lines.push(
    sink.explain
      ? { number, key, step, kind, about, amountMinor, explanation: explanationOf(reason()) }
      : { number, key, step, kind, about, amountMinor },
  );
}

function explanationOf(reason: Reason): Explanation {
  return {
    formula: reason.formula,
    inputs: reason.inputs ?? [],
    rule: reason.rule ?? null,
    exact: reason.exact ?? null,
    parameters: reason.parameters ?? {},
  };
}

/** References to lines by their keys. */
export function linesRef(keys: readonly string[]): InputRef[] {
  return keys.map((key) => ({ of: 'line', key }));
}
