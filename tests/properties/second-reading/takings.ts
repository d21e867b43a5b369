// Takings and refunds: what each machine brought, kept apart by day so that tax rows and versions can each pick their own.
import type { Day } from './calendar';
import { sum } from './numbers';
import type { PeriodInput, Version } from './terms';

/** Something that happened to a machine's money on a day, under one version of the agreement. */
export interface Entry {
  machine: string;
  kind: string;
  group: number;
  date: Day;
  takingsMinor: bigint;
  cashlessMinor: bigint;
  refundsMinor: bigint;
  breakInMinor: bigint;
  /** The part of a break-in that stands in the takings because one party alone bears it. */
  breakInInTakingsMinor: bigint;
}

export function netOf(entries: readonly Entry[]): bigint {
  return sum(entries.map((entry) => entry.takingsMinor - entry.refundsMinor));
}

/** The place in the list of versions of the one in force on a day. */
export function groupOf(versions: readonly Version[], date: Day): number {
  const latest = versions.findLastIndex((version) => version.from <= date);
  if (latest < 0) throw new Error('No version of the agreement is in force on that day.');
  return latest;
}

function blank(input: PeriodInput, machine: string, date: Day): Entry {
  const kind = input.machines.find((one) => one.tag === machine)?.kind;
  if (kind === undefined) throw new Error(`Machine ${machine} is not part of this settlement.`);
  const group = groupOf(input.versions, date);
  return { machine, kind, group, date, takingsMinor: 0n, cashlessMinor: 0n, refundsMinor: 0n, breakInMinor: 0n, breakInInTakingsMinor: 0n };
}

/** All entries of the settlement, in no particular order. */
export function entriesOf(input: PeriodInput): Entry[] {
  const basisOn = (date: Day) => input.versions[groupOf(input.versions, date)]?.basis;
  const counted = input.counts.map((count) => {
    const cashMinor = basisOn(count.date) === 'metered' ? count.meteredMinor : count.countedMinor;
    return { ...blank(input, count.machine, count.date), takingsMinor: cashMinor + count.tokensMinor };
  });
  const cashless = input.cashless.map((read) => ({
    ...blank(input, read.machine, read.date),
    takingsMinor: read.amountMinor,
    cashlessMinor: read.amountMinor,
  }));
  const refunds = input.refunds.map((slip) => ({ ...blank(input, slip.machine, slip.date), refundsMinor: slip.amountMinor }));
  const breakIns = input.breakIns.map((theft) => {
    // One party alone answers for stolen money: it counts as taken. Everybody does: it does not. Meters saw it either way, boxes never.
    const borneByOne = input.versions[groupOf(input.versions, theft.date)]?.breakInBorneBy !== undefined;
    const seen = basisOn(theft.date) === 'metered';
    const takingsMinor = borneByOne ? (seen ? 0n : theft.amountMinor) : seen ? -theft.amountMinor : 0n;
    const entry = blank(input, theft.machine, theft.date);
    return { ...entry, breakInMinor: theft.amountMinor, takingsMinor, breakInInTakingsMinor: borneByOne ? theft.amountMinor : 0n };
  });
  return [...counted, ...cashless, ...refunds, ...breakIns];
}

/** Machine tags in the order that decides ties. */
export function byTag(tags: Iterable<string>): string[] {
  return [...new Set(tags)].sort((left, right) => (left < right ? -1 : left > right ? 1 : 0));
}

/** Versions one after the other, without those that only sign the same terms again. */
export function withoutRepeats(versions: readonly Version[]): Version[] {
  const ordered = [...versions].sort((left, right) => left.from - right.from);
  return ordered.filter((version, index) => version.wording !== ordered[index - 1]?.wording);
}
