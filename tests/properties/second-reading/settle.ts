// One settlement from beginning to end, step after step, group after group.
import { sum } from './numbers';
import { type ChargesResult, type OpenPool, type Taken, chargesOf, placedLoss } from './charges';
import { union } from './calendar';
import { type Move, type Shares, guaranteesOf } from './guarantees';
import { coveredBy, poolsOf } from './scopes';
import { type SplitPool, splitOf } from './split';
import { type Entry, byTag, entriesOf, groupOf, netOf, withoutRepeats } from './takings';
import { type TaxLine, type TaxResult, taxOf } from './tax';
import { type Carry, type Credits, type LossCarry, type Party, type RestCarry, type PeriodInput, type ShareList, operator } from './terms';

export interface PeriodSettlement {
  machines: { machine: string; group: number; takingsMinor: bigint; refundsMinor: bigint; netMinor: bigint }[];
  taxLines: TaxLine[];
  pools: (SplitPool & { netMinor: bigint; taxMinor: bigint; lossInMinor: bigint; chargesMinor: bigint; busy: boolean })[];
  /** Groups are numbered by the versions in force in the period, whether or not anything happened under each. */
  groupNumbers: Map<number, number>;
  taken: Taken[];
  lapsed: ChargesResult['lapsed'];
  moves: Move[];
  shares: Shares;
  credits: Map<Party, Credits>;
  carriedOut: Carry;
}

export function settlePeriod(given: PeriodInput): PeriodSettlement {
  const input = { ...given, versions: withoutRepeats(given.versions) };
  const entries = entriesOf(input);
  const tax = taxOf(input, entries);
  const pools: PeriodSettlement['pools'] = [];
  const taken: Taken[] = [];
  const lapsed: ChargesResult['lapsed'] = [];
  let losses: readonly LossCarry[] = input.carriedIn.losses;
  let rests: readonly RestCarry[] = input.carriedIn.rests;
  const groups = groupsOf(entries, tax.lines);
  for (const group of groups) {
    const inGroup = entries.filter((entry) => entry.group === group);
    const open = opened({ input, group, entries: inGroup, tax, losses });
    const charges = chargesOf({ input, group, entries: inGroup, pools: open }, rests);
    const split = splitOf(input, group, open);
    taken.push(...charges.taken);
    lapsed.push(...charges.lapsed);
    rests = charges.rests;
    losses = split.filter((one) => one.lossOutMinor < 0n).map((one) => ({ pool: one.pool, machines: machinesIn(open, one.pool), amountMinor: one.lossOutMinor }));
    for (const one of split) {
      const { netMinor, taxMinor, lossInMinor } = open.find(({ pool }) => pool.name === one.pool) ?? { netMinor: 0n, taxMinor: 0n, lossInMinor: 0n };
      const chargesMinor = sum(charges.taken.filter((each) => each.pool === one.pool).map((each) => each.amountMinor));
      const machines = machinesIn(open, one.pool);
      const busy = [...inGroup, ...tax.lines.flatMap((line) => line.parts).filter((part) => part.group === group)].some((part) => machines.includes(part.machine));
      pools.push({ ...one, netMinor, taxMinor, lossInMinor, chargesMinor, busy });
    }
  }
  const { moves, shares } = guaranteesOf(input, groups, pools, partiesInOrder(input));
  const credits = creditsOf(input, { shares, taken, taxLines: tax.lines });
  const carriedOut = { losses, rests, negativeTax: tax.negativeTax, chargedDays: chargedDaysOf(input) };
  const groupNumbers = new Map(inForce(input).map((group, index) => [group, index + 1]));
  return { groupNumbers, machines: machinesOf(entries), taxLines: tax.lines, pools, taken, lapsed, moves, shares, credits, carriedOut };
}

function inForce(input: PeriodInput): number[] {
  const [first, last] = [input.period.from, input.period.until - 1].map((day) => groupOf(input.versions, day));
  return input.versions.map((_, group) => group).filter((group) => (first ?? 0) <= group && group <= (last ?? 0));
}

/** Versions under which something happened; if nothing did, what was carried stays as it is. */
function groupsOf(entries: readonly Entry[], taxLines: readonly TaxLine[]): number[] {
  const busy = [...entries, ...taxLines.flatMap((line) => line.parts)].map((one) => one.group);
  return [...new Set(busy)].sort((left, right) => left - right);
}

/** The pools of a group with net takings, tax and the losses that earlier periods or groups left to them. */
function opened(of: { input: PeriodInput; group: number; entries: readonly Entry[]; tax: TaxResult; losses: readonly LossCarry[] }): OpenPool[] {
  const { input, group } = of;
  const version = input.versions[group];
  if (version === undefined) throw new Error('A group has a version.');
  const pools = poolsOf(version, input.machines).map((pool): OpenPool => {
    const entries = of.entries.filter((entry) => pool.machines.includes(entry.machine));
    const parts = of.tax.lines.filter((line) => line.borneBy === 'all').flatMap((line) => line.parts)
      .filter((part) => part.group === group && pool.machines.includes(part.machine));
    const netMinor = netOf(entries);
    const taxMinor = sum(parts.map((part) => part.amountMinor));
    const cashlessMinor = sum(entries.map((entry) => entry.cashlessMinor));
    return { pool, group, netMinor, cashlessMinor, taxMinor, lossInMinor: 0n, leftMinor: netMinor - taxMinor };
  });
  for (const loss of of.losses) {
    for (const placed of placedLoss({ input, group, entries: of.entries, pools }, loss)) {
      const open = pools.find(({ pool }) => pool.name === placed.pool.name);
      if (open === undefined) throw new Error('A loss is placed in a pool of its group.');
      open.lossInMinor += placed.amountMinor;
      open.leftMinor += placed.amountMinor;
    }
  }
  return pools;
}

function machinesIn(pools: readonly OpenPool[], name: string): readonly string[] {
  return pools.find(({ pool }) => pool.name === name)?.pool.machines ?? [];
}

/** Parties as the agreement lists them: those of its first list, then whoever later lists or guarantees add. */
function partiesInOrder(input: PeriodInput): Party[] {
  const lists = input.versions.flatMap((version): ShareList[] => (version.split.method === 'shares' ? [version.split.shares] : version.split.bands.map((band) => band.shares)));
  const named = input.versions.flatMap((version) => version.guarantees.flatMap((guarantee) => [guarantee.party, guarantee.excessTo]));
  return [...new Set([...lists.flat().map((one) => one.party), operator, ...named])];
}

function machinesOf(entries: readonly Entry[]): PeriodSettlement['machines'] {
  return byTag(entries.map((entry) => entry.machine)).flatMap((machine) => {
    const ofMachine = entries.filter((entry) => entry.machine === machine);
    return [...new Set(ofMachine.map((entry) => entry.group))].map((group) => {
      const own = ofMachine.filter((entry) => entry.group === group);
      const takingsMinor = sum(own.map((entry) => entry.takingsMinor));
      return { machine, group, takingsMinor, refundsMinor: sum(own.map((entry) => entry.refundsMinor)), netMinor: netOf(own) };
    });
  });
}

function chargedDaysOf(input: PeriodInput): Carry['chargedDays'] {
  const before = input.carriedIn.chargedDays;
  const known = new Map([...before, ...input.machines.map(({ tag, kind }) => ({ machine: tag, kind, days: [] }))].map((one) => [one.machine, one.kind]));
  return [...known].map(([machine, kind]) => {
    const settled = before.filter((one) => one.machine === machine).map((one) => one.days);
    return { machine, kind, days: union([...settled, coveredBy(input.counts.filter((count) => count.machine === machine))]) };
  });
}

/** What each party has to its credit, cash and earlier accounts left aside. */
function creditsOf(input: PeriodInput, found: { shares: Shares; taken: readonly Taken[]; taxLines: readonly TaxLine[] }): Map<Party, Credits> {
  const parties = new Set([...found.shares.keys(), ...found.taken.map((taken) => taken.to), ...input.refunds.map((slip) => slip.paidBy), input.site]);
  const total = (rows: readonly { amountMinor: bigint }[]) => sum(rows.map((row) => row.amountMinor));
  return new Map(
    [...parties].map((party) => {
      const borne = input.breakIns.filter((theft) => input.versions[groupOf(input.versions, theft.date)]?.breakInBorneBy === party);
      return [
        party,
        {
          shareMinor: found.shares.get(party) ?? 0n,
          chargesMinor: total(found.taken.filter((taken) => taken.to === party)),
          refundsPaidMinor: total(input.refunds.filter((slip) => slip.paidBy === party)),
          taxFiledMinor: party === input.site ? total(found.taxLines.filter((line) => line.filedBy === 'site')) : 0n,
          breakInsBorneMinor: total(borne),
        },
      ];
    }),
  );
}

/** Net takings and losses in are tax, charges, shares and losses out, pool by pool. */
export function balanceOf(pool: PeriodSettlement['pools'][number]): bigint {
  const inMinor = pool.netMinor + pool.lossInMinor;
  return inMinor - pool.taxMinor - pool.chargesMinor - sum([...pool.shares.values()]) - pool.lossOutMinor;
}
