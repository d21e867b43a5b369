/** Step 5: what is left in each pool goes to the parties by their shares; a loss is carried or borne. */
import { allocate, allocateTable } from '#domain/money/allocation';
import { rational } from '#domain/money/rational';
import { roundHalfUp } from '#domain/money/rounding';
import type { Band, BandsSplit } from '#domain/terms/types';
import { scaledAmount } from '#domain/settlement/charge-amounts';
import { agreementExtent, poolExtents, type Extent, type GroupRun, type Pool } from '#domain/settlement/group-runs';
import { linesRef, writeLine, type LineSink } from '#domain/settlement/line-sink';
import type { Formula } from '#domain/settlement/lines';
import { isBusy } from '#domain/settlement/pools';
import { bandWeights, listWeights, lowestList, type ShareWeight } from '#domain/settlement/share-weights';
import type { LossCarry } from '#domain/settlement/types';

export interface SplitRequest {
  readonly runs: readonly GroupRun[];
  readonly position: number;
  readonly run: GroupRun;
}

/** Writes the shares of one group and returns the losses that are carried on. */
export function splitGroup(sink: LineSink, request: SplitRequest): LossCarry[] {
  const { run } = request;
  const { terms } = run.group;
  const { split, loss } = terms;
  const losses: LossCarry[] = [];
  for (const pool of run.pools) {
    if (isBusy(pool)) writeLeft(sink, run, pool);
    if (pool.leftMinor >= 0n) continue;
    if (loss === 'carry') losses.push(carryLoss(sink, run, pool));
    else
      divide(sink, run, {
        pool,
        weights: listWeights(terms, lowestList(split)),
        formula: 'share-by-percent',
        pointer: split.kind === 'shares' ? '/split/shares' : '/split/bands/0/shares',
      });
  }
  const positive = run.pools.filter((pool) => pool.leftMinor > 0n);
  if (split.kind === 'shares') {
    for (const pool of positive)
      divide(sink, run, { pool, weights: listWeights(terms, split.shares), formula: 'share-by-percent', pointer: '/split/shares' });
  } else if (split.scope === 'pool') {
    for (const pool of positive) {
      const bands = scaledBands(
        split,
        poolExtents(request.runs, run, pool.key),
        request.position,
      );
      divide(sink, run, {
        pool,
        weights: bandWeights({ terms, amountMinor: pool.leftMinor, method: split.method, bands }),
        formula: 'share-by-bands',
        pointer: '/split/bands',
      });
    }
  } else if (positive.length > 0) {
    divideAgreement(sink, request, split, positive);
  }
  return losses;
}

function writeLeft(sink: LineSink, run: GroupRun, pool: Pool): void {
  const group = run.group.number;
  writeLine(
    sink,
    { key: leftKey(run, pool), step: 'split', kind: 'pool-left', about: { group, poolKey: pool.key }, amountMinor: pool.leftMinor },
    () => ({
      formula: 'left-after-charges',
      inputs: linesRef([`opening/${group}/${pool.key}`, ...pool.chargeKeys]),
    }),
  );
}

function carryLoss(sink: LineSink, run: GroupRun, pool: Pool): LossCarry {
  const group = run.group.number;
  writeLine(
    sink,
    { key: `loss-out/${group}/${pool.key}`, step: 'split', kind: 'loss-out', about: { group, poolKey: pool.key }, amountMinor: pool.leftMinor },
    () => ({
      formula: 'loss-carried',
      inputs: linesRef([leftKey(run, pool)]),
      rule: { of: 'terms', versionId: run.group.versionId, pointer: '/loss' },
    }),
  );
  return { poolKey: pool.key, machineIds: pool.machines.map((entry) => entry.machine.id), amountMinor: pool.leftMinor };
}

/** The thresholds are for the sum of the pools that have something left; both pool and party sums are kept to the unit. */
function divideAgreement(sink: LineSink, { runs, position, run }: SplitRequest, split: BandsSplit, pools: readonly Pool[]): void {
  const amountMinor = pools.reduce((sum, pool) => sum + pool.leftMinor, 0n);
  const bands = scaledBands(split, runs.map(agreementExtent), position);
  const weights = bandWeights({ terms: run.group.terms, amountMinor, method: split.method, bands });
  const columns = allocate({ amountMinor, weights: weights.map(({ weight }) => weight) });
  const table = allocateTable({ rows: pools.map((pool) => pool.leftMinor), columns });
  pools.forEach((pool, index) =>
    writeShares(sink, run, { pool, weights, formula: 'share-by-bands', pointer: '/split/bands', parts: table[index] ?? [] }),
  );
}

/** Thresholds per week, month or year grow with the days covered; per period they stand whole where nothing was counted either. */
function scaledBands(split: BandsSplit, extents: readonly Extent[], position: number): Band[] {
  const scaled = (amountMinor: bigint): bigint => {
    const exact = scaledAmount({ amountMinor, per: split.per, extents, position });
    return exact === undefined ? amountMinor : roundHalfUp(exact);
  };
  return split.bands.map((band) => ({
    fromMinor: scaled(band.fromMinor),
    toMinor: band.toMinor === null ? null : scaled(band.toMinor),
    shares: band.shares,
  }));
}

interface Division {
  readonly pool: Pool;
  readonly weights: readonly ShareWeight[];
  readonly formula: Formula;
  readonly pointer: string;
}

function divide(sink: LineSink, run: GroupRun, division: Division): void {
  const parts = allocate({ amountMinor: division.pool.leftMinor, weights: division.weights.map(({ weight }) => weight) });
  writeShares(sink, run, { ...division, parts });
}

function writeShares(
  sink: LineSink,
  run: GroupRun,
  { pool, weights, formula, pointer, parts }: Division & { readonly parts: readonly bigint[] },
): void {
  const group = run.group.number;
  const total = weights.reduce((sum, { weight }) => sum + weight, 0n);
  weights.forEach(({ party, weight }, index) => {
    const about = { group, poolKey: pool.key, party };
    writeLine(sink, { key: `share/${group}/${pool.key}/${party}`, step: 'split', kind: 'share', about, amountMinor: parts[index] ?? 0n }, () => ({
      formula,
      inputs: linesRef([leftKey(run, pool)]),
      rule: { of: 'terms', versionId: run.group.versionId, pointer },
      ...(total === 0n ? {} : { exact: rational(pool.leftMinor * weight, total) }),
    }));
  });
}

function leftKey(run: GroupRun, pool: Pool): string {
  return `left/${run.group.number}/${pool.key}`;
}
