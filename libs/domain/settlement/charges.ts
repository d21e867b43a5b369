/**
 * Step 4: charges before the split, in the agreement's order. Rests that were carried come first, oldest first. No
 * charge takes more than what is left; its rest lapses or is carried on.
 */
import { allocate } from '#domain/money/allocation';
import type { Rational } from '#domain/money/rational';
import { roundHalfUp } from '#domain/money/rounding';
import type { Charge } from '#domain/terms/types';
import { askedAmount, type Asked } from '#domain/settlement/charge-amounts';
import { mergeRests, restsInPools } from '#domain/settlement/charge-rests';
import { agreementExtent, machineExtent, poolExtents, type Extent, type GroupRun, type Pool } from '#domain/settlement/group-runs';
import { quota } from '#domain/settlement/component-tax';
import { linesRef, writeLine, type LineSink } from '#domain/settlement/line-sink';
import type { RuleRef } from '#domain/settlement/lines';
import type { ChargeRest, SettlementPeriod } from '#domain/settlement/types';

export interface ChargesRequest {
  readonly runs: readonly GroupRun[];
  readonly position: number;
  readonly run: GroupRun;
  readonly period: SettlementPeriod;
  readonly rests: readonly ChargeRest[];
}

/** Takes all charges of one group and returns the rests that are carried on. */
export function takeCharges(sink: LineSink, request: ChargesRequest): ChargeRest[] {
  const { run, rests } = request;
  const stillOpen = restsInPools(run, rests).flatMap((rest) => takeRest(sink, run, rest));
  const added = run.group.terms.charges.flatMap((charge, index) => takeCharge(sink, request, charge, index));
  return mergeRests([...stillOpen, ...added]);
}

/** One amount that is wanted from one or several pools. */
interface Demand {
  readonly charge: Pick<Charge, 'to' | 'title' | 'scope'> & { readonly id: string };
  /** Tells lines of the same charge apart. */
  readonly label: string;
  readonly machineIds: readonly string[];
  readonly poolKey: string | null;
  readonly since: SettlementPeriod['from'];
  readonly carriedBefore: boolean;
  readonly amountMinor: bigint;
  readonly asked: Asked | null;
  readonly rule: RuleRef | null;
  readonly rest: 'lapse' | 'carry';
}

function takeCharge(sink: LineSink, request: ChargesRequest, charge: Charge, index: number): ChargeRest[] {
  const { run, runs, position, period } = request;
  const rule: RuleRef = { of: 'terms', versionId: run.group.versionId, pointer: `/charges/${index}` };
  const demand = (extents: readonly Extent[], pools: readonly Pool[], label: string, machineId?: string): ChargeRest[] => {
    const leftMinor = pools.reduce((sum, pool) => sum + positive(pool.leftMinor), 0n);
    const asked = askedAmount({ amount: charge.amount, extents, position, leftMinor });
    const [pool] = pools;
    const machineIds =
      machineId !== undefined ? [machineId] : charge.scope === 'pool' && pool !== undefined ? pool.machines.map((entry) => entry.machine.id) : [];
    const poolKey = charge.scope === 'agreement' || pool === undefined ? null : pool.key;
    return take(sink, run, pools, {
      charge,
      label,
      machineIds,
      poolKey,
      rule,
      asked,
      amountMinor: roundHalfUp(asked.exact),
      since: period.from,
      carriedBefore: false,
      rest: charge.rest,
    });
  };
  switch (charge.scope) {
    case 'agreement':
      return demand(runs.map(agreementExtent), run.pools, 'agreement');
    case 'pool':
      return run.pools.flatMap((pool) =>
        demand(
          poolExtents(runs, run, pool.key),
          [pool],
          pool.key,
        ),
      );
    case 'machine':
      return run.machines.flatMap(({ machine, cell }) => {
        const pool = run.poolOf.get(machine.id);
        if (cell === null || pool === undefined) return [];
        return demand(
          runs.map((each) => machineExtent(each, machine.id)),
          [pool],
          `machine:${machine.id}`,
          machine.id,
        );
      });
  }
}

function takeRest(sink: LineSink, run: GroupRun, rest: ChargeRest): ChargeRest[] {
  const index = run.group.terms.charges.findIndex((candidate) => candidate.id === rest.chargeId);
  const label = rest.scope === 'machine' ? `machine:${rest.machineIds.join('+')}` : (rest.poolKey ?? 'agreement');
  return take(sink, run, rest.poolKey === null ? run.pools : run.pools.filter((pool) => pool.key === rest.poolKey), {
    charge: { id: rest.chargeId, title: rest.title, to: rest.to, scope: rest.scope },
    label,
    machineIds: rest.machineIds,
    poolKey: rest.poolKey,
    since: rest.since,
    carriedBefore: true,
    amountMinor: rest.amountMinor,
    asked: null,
    rule: index === -1 ? null : { of: 'terms', versionId: run.group.versionId, pointer: `/charges/${index}` },
    rest: 'carry',
  });
}

/** Takes what is there, allocated to the pools by what is left in each, and returns the rest if it is carried. */
function take(sink: LineSink, run: GroupRun, pools: readonly Pool[], demand: Demand): ChargeRest[] {
  if (demand.amountMinor === 0n || pools.length === 0) return [];
  const weights = pools.map((pool) => positive(pool.leftMinor));
  const leftMinor = weights.reduce((sum, weight) => sum + weight, 0n);
  const takenMinor = demand.amountMinor < leftMinor ? demand.amountMinor : leftMinor;
  const key = `charge/${run.group.number}/${demand.charge.id}/${demand.charge.to}/${demand.label}${demand.carriedBefore ? `/since/${demand.since}` : ''}`;
  const parts = takenMinor === 0n ? pools.map(() => 0n) : allocate({ amountMinor: takenMinor, weights });
  pools.forEach((pool, index) => {
    const part = parts[index] ?? 0n;
    if (part !== 0n) takePart(sink, run, pool, { demand, key, part, takenMinor, exactOf: () => (pools.length === 1 ? (demand.asked?.exact ?? null) : quota({ amountMinor: takenMinor, weights }, index)) });
  });
  const restMinor = demand.amountMinor - takenMinor;
  if (restMinor === 0n) return [];
  writeRest(sink, run, { demand, key, restMinor });
  if (demand.rest === 'lapse') return [];
  const { charge, poolKey, machineIds, since } = demand;
  return [{ chargeId: charge.id, title: charge.title, to: charge.to, scope: charge.scope, poolKey, machineIds, since, amountMinor: restMinor }];
}

interface Part {
  readonly demand: Demand;
  readonly key: string;
  readonly part: bigint;
  readonly takenMinor: bigint;
  /** What was rounded last: the charge itself, or where several pools bear it this pool's part of it. */
  readonly exactOf: () => Rational | null;
}

function takePart(sink: LineSink, run: GroupRun, pool: Pool, { demand, key, part, takenMinor, exactOf }: Part): void {
  const partKey = `${key}/from/${pool.key}`;
  pool.leftMinor -= part;
  pool.chargeKeys.push(partKey);
  const { charge, asked, rule } = demand;
  writeLine(
    sink,
    {
      key: partKey,
      step: 'charges',
      kind: 'charge',
      about: {
        group: run.group.number,
        poolKey: pool.key,
        party: charge.to,
        chargeId: charge.id,
        title: charge.title,
        ...(demand.carriedBefore ? { since: demand.since } : {}),
      },
      amountMinor: part,
    },
    () => {
      const exact = sink.inFull ? exactOf() : (asked?.exact ?? null);
      return {
        formula: takenMinor < demand.amountMinor ? 'at-most-what-is-left' : (asked?.formula ?? 'carried-from-before'),
        inputs: linesRef([`opening/${run.group.number}/${pool.key}`]),
        ...(rule === null ? {} : { rule }),
        ...(exact === null ? {} : { exact }),
        parameters: { askedMinor: demand.amountMinor.toString() },
      };
    },
  );
}

function writeRest(sink: LineSink, run: GroupRun, { demand, key, restMinor }: { demand: Demand; key: string; restMinor: bigint }): void {
  const { charge, rule } = demand;
  writeLine(
    sink,
    {
      key: `${key}/rest`,
      step: 'charges',
      kind: 'charge-rest',
      about: {
        group: run.group.number,
        party: charge.to,
        chargeId: charge.id,
        title: charge.title,
        since: demand.since,
        becomes: demand.rest === 'carry' ? 'carried' : 'lapsed',
      },
      amountMinor: restMinor,
    },
    () => ({ formula: 'at-most-what-is-left', ...(rule === null ? {} : { rule }), parameters: { askedMinor: demand.amountMinor.toString() } }),
  );
}

function positive(value: bigint): bigint {
  return value > 0n ? value : 0n;
}
