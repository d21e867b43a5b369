// One settlement from beginning to end, step after step, group after group.
import { sum } from './numbers';
import { type ChargesResult, type OpenPool, type Taken, chargesOf, placedLoss } from './charges';
import { union } from './calendar';
import { type Move, type Shares, guaranteesOf } from './guarantees';
import { type Payable, payablesOf } from './payables';
import { daysOf, poolsOf } from './scopes';
import { type SplitPool, splitOf } from './split';
import { type Entry, byTag, entriesOf, netOf } from './takings';
import { type TaxLine, type TaxResult, taxOf } from './tax';
import { type Carry, type LossCarry, type Party, type RestCarry, type SettlementInput, type ShareList, operator } from './terms';

export interface Settlement {
  machines: { machine: string; takingsMinor: bigint; refundsMinor: bigint; netMinor: bigint }[];
  taxLines: TaxLine[];
  pools: (SplitPool & { netMinor: bigint; taxMinor: bigint; lossInMinor: bigint; chargesMinor: bigint })[];
  taken: Taken[];
  lapsed: ChargesResult['lapsed'];
  moves: Move[];
  shares: Shares;
  payables: Payable[];
  carriedOut: Carry;
}

export function settle(input: SettlementInput): Settlement {
  const entries = entriesOf(input);
  const tax = taxOf(input, entries);
  const pools: Settlement['pools'] = [];
  const taken: Taken[] = [];
  const lapsed: ChargesResult['lapsed'] = [];
  let losses: readonly LossCarry[] = input.carriedIn.losses;
  let rests: readonly RestCarry[] = input.carriedIn.rests;
  input.versions.forEach((_, group) => {
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
      pools.push({ ...one, netMinor, taxMinor, lossInMinor, chargesMinor });
    }
  });
  const { moves, shares } = guaranteesOf(input, pools, partiesInOrder(input));
  const payables = payablesOf(input, { shares, taken, taxLines: tax.lines });
  const carriedOut = { losses, rests, negativeTax: tax.negativeTax, chargedDays: chargedDaysOf(input) };
  return { machines: machinesOf(entries), taxLines: tax.lines, pools, taken, lapsed, moves, shares, payables, carriedOut };
}

/** The pools of a group with net takings, tax and the losses that earlier periods or groups left to them. */
function opened(of: { input: SettlementInput; group: number; entries: readonly Entry[]; tax: TaxResult; losses: readonly LossCarry[] }): OpenPool[] {
  const { input, group } = of;
  const version = input.versions[group];
  if (version === undefined) throw new Error('A group has a version.');
  const pools = poolsOf(version, input.machines).map((pool): OpenPool => {
    const entries = of.entries.filter((entry) => pool.machines.includes(entry.machine));
    const parts = of.tax.lines.flatMap((line) => line.parts).filter((part) => part.group === group && pool.machines.includes(part.machine));
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
function partiesInOrder(input: SettlementInput): Party[] {
  const lists = input.versions.flatMap((version): ShareList[] => (version.split.method === 'shares' ? [version.split.shares] : version.split.bands.map((band) => band.shares)));
  const named = input.versions.flatMap((version) => version.guarantees.flatMap((guarantee) => [guarantee.party, guarantee.excessTo]));
  return [...new Set([...lists.flat().map((one) => one.party), operator, ...input.payees, ...named])];
}

function machinesOf(entries: readonly Entry[]): Settlement['machines'] {
  return byTag(entries.map((entry) => entry.machine)).map((machine) => {
    const own = entries.filter((entry) => entry.machine === machine);
    const takingsMinor = sum(own.map((entry) => entry.takingsMinor));
    return { machine, takingsMinor, refundsMinor: sum(own.map((entry) => entry.refundsMinor)), netMinor: netOf(own) };
  });
}

function chargedDaysOf(input: SettlementInput): Carry['chargedDays'] {
  const before = input.carriedIn.chargedDays;
  const pools = new Map(before.pools);
  let agreement = before.agreement;
  input.versions.forEach((version, group) => {
    agreement = union([agreement, daysOf(input, group, { scope: 'agreement' })]);
    for (const pool of poolsOf(version, input.machines)) pools.set(pool.name, union([pools.get(pool.name) ?? [], daysOf(input, group, { scope: 'pool', pool })]));
  });
  return { agreement, pools };
}

/** Net takings and losses in are tax, charges, shares and losses out, pool by pool. */
export function balanceOf(pool: Settlement['pools'][number]): bigint {
  const inMinor = pool.netMinor + pool.lossInMinor;
  return inMinor - pool.taxMinor - pool.chargesMinor - sum([...pool.shares.values()]) - pool.lossOutMinor;
}
