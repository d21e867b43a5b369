/** Steps 1 and 2: takings and refunds of each machine. */
import type { PartyId } from '#domain/terms/types';
import { netTakingsOf, type Cell } from '#domain/settlement/cells';
import type { GroupMachine, GroupRun } from '#domain/settlement/group-runs';
import { linesRef, writeLine, type LineSink, type Reason } from '#domain/settlement/line-sink';
import type { InputRef, LineKind } from '#domain/settlement/lines';

export function writeTakings(sink: LineSink, run: GroupRun): void {
  for (const entry of run.machines) if (entry.cell !== null) writeMachine(sink, run, entry, entry.cell);
}

function writeMachine(sink: LineSink, run: GroupRun, { machine }: GroupMachine, cell: Cell): void {
  const group = run.group.number;
  const machineId = machine.id;
  const about = { group, machineId };
  const prefix = `takings/${group}/${machineId}/`;
  const firstIndex = sink.lines.length;
  const write = (kind: LineKind, amountMinor: bigint, reason: () => Reason): void =>
    writeLine(sink, { key: prefix + kind, step: 'takings', kind, about, amountMinor }, reason);
  if (cell.counts.length > 0) write('cash', cell.cashMinor, () => ({ formula: 'sum-of-counts', inputs: refs('count', cell.counts) }));
  if (cell.meteredDifferenceMinor !== 0n) {
    write('metered-difference', cell.meteredDifferenceMinor, () => ({
      formula: 'metered-less-counted',
      inputs: [...refs('count', cell.counts), ...refs('break-in', cell.breakIns)],
      rule: { of: 'terms', versionId: run.group.versionId, pointer: '/basis' },
    }));
  }
  if (cell.tokensMinor !== 0n) {
    write('tokens', cell.tokensMinor, () => ({
      formula: 'tokens-at-value',
      inputs: refs('count', cell.counts),
      rule: { of: 'terms', versionId: run.group.versionId, pointer: '/tokens' },
    }));
  }
  if (cell.cashless.length > 0)
    write('cashless', cell.cashlessMinor, () => ({ formula: 'cashless-less-refunded', inputs: refs('cashless', cell.cashless) }));
  if (cell.madeGoodMinor !== 0n) writeBreakIn(sink, run, machineId, cell);
  writeRefunds(sink, run, machineId, cell);
  writeLine(sink, { key: `${prefix}net-takings`, step: 'refunds', kind: 'net-takings', about, amountMinor: netTakingsOf(cell) }, () => ({
    formula: 'takings-less-refunds',
    inputs: linesRef(sink.lines.slice(firstIndex).map((line) => line.key)),
  }));
}

function writeBreakIn(sink: LineSink, run: GroupRun, machineId: string, cell: Cell): void {
  const { group } = run;
  const party = group.terms.breakIns.borneBy === 'site' ? group.site : group.operator;
  writeLine(
    sink,
    {
      key: `takings/${group.number}/${machineId}/break-in/${party}`,
      step: 'takings',
      kind: 'break-in',
      about: { group: group.number, machineId, party },
      amountMinor: cell.madeGoodMinor,
    },
    () => ({
      formula: 'break-in-made-good',
      inputs: refs('break-in', cell.breakIns),
      rule: { of: 'terms', versionId: group.versionId, pointer: '/breakIns' },
    }),
  );
}

function writeRefunds(sink: LineSink, run: GroupRun, machineId: string, cell: Cell): void {
  if (cell.slips.length === 0) return;
  const group = run.group.number;
  const byPayer = new Map<PartyId, bigint>();
  for (const slip of cell.slips) byPayer.set(slip.paidBy, (byPayer.get(slip.paidBy) ?? 0n) + slip.amountMinor);
  for (const party of [...byPayer.keys()].sort()) {
    writeLine(
      sink,
      {
        key: `refund/${group}/${machineId}/${party}`,
        step: 'refunds',
        kind: 'refund',
        about: { group, machineId, party },
        amountMinor: byPayer.get(party) ?? 0n,
      },
      () => ({
        formula: 'sum-of-slips',
        inputs: refs(
          'slip',
          cell.slips.filter((slip) => slip.paidBy === party),
        ),
      }),
    );
  }
}

/** In the order of ids, so that the order of arrival leaves no trace in the document. */
function refs(of: 'count' | 'slip' | 'cashless' | 'break-in', items: readonly { readonly id: string }[]): InputRef[] {
  const ids = items.map((item) => item.id);
  if (ids.length > 1) ids.sort();
  return ids.map((id) => ({ of, id }));
}
