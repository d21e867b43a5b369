/**
 * After issue, by difference: an issued period never changes. What is known about it now is computed again as a whole,
 * and what is new against everything issued for it before stands in a block of its own, line by line.
 */
import type { LineSink } from '#domain/settlement/line-sink';
import type { Line, PeriodLine } from '#domain/settlement/lines';
import type { SettlementResult } from '#domain/settlement/types';

/** Lines that differ from what was issued: in today's order, then those that are no longer there. */
export function writeDifferences(sink: LineSink, now: readonly Line[], issued: readonly PeriodLine[]): void {
  const before = new Map(issued.map((line) => [line.key, line]));
  for (const line of now) {
    const issuedMinor = before.get(line.key)?.amountMinor ?? 0n;
    before.delete(line.key);
    if (line.amountMinor !== issuedMinor)
      push(sink, {
        ...line,
        number: sink.nextNumber,
        amountMinor: line.amountMinor - issuedMinor,
        change: { issuedMinor, nowMinor: line.amountMinor },
      });
  }
  for (const { key, step, kind, about, amountMinor } of before.values()) {
    if (amountMinor === 0n) continue;
    const gone: Line = {
      number: sink.nextNumber,
      key,
      step,
      kind,
      about,
      amountMinor: -amountMinor,
      change: { issuedMinor: amountMinor, nowMinor: 0n },
    };
    push(sink, sink.explain ? { ...gone, explanation: { formula: 'no-longer-there', inputs: [], rule: null, exact: null, parameters: {} } } : gone);
  }
}

function push(sink: LineSink, line: Line): void {
  sink.lines.push(line);
  sink.nextNumber += 1;
}

/**
 * Everything issued for a period so far: its own lines and the differences in later settlements, added up by key.
 * `results` are the agreement's issued settlements that stand (not reversed), oldest first.
 */
export function issuedLines(results: readonly SettlementResult[], periodId: string): PeriodLine[] {
  const sums = new Map<string, PeriodLine>();
  for (const result of results) {
    for (const period of result.periods) {
      if (period.period.id !== periodId) continue;
      for (const { key, step, kind, about, amountMinor } of period.lines) {
        sums.set(key, { key, step, kind, about, amountMinor: (sums.get(key)?.amountMinor ?? 0n) + amountMinor });
      }
    }
  }
  return [...sums.values()];
}
