/** What a charge asks for, before anyone looks at what is left. */
import { amountForDays, unitsInDays } from '#domain/calendar/proration';
import { oneHundred, toBillionths } from '#domain/money/decimal';
import { addRationals, rational, zero, type Rational } from '#domain/money/rational';
import type { ChargeAmount, ChargeUnit } from '#domain/terms/types';
import { hasCount, numberOfVisits, partOfPeriod, type Extent, type GroupMachine } from '#domain/settlement/group-runs';
import type { Formula } from '#domain/settlement/lines';

export interface Asked {
  /** Exact minor units, zero or above. */
  readonly exact: Rational;
  readonly formula: Formula;
}

export interface AskedRequest {
  readonly amount: ChargeAmount;
  /** The same agreement, pool or machine in every group of the period, and which of them is being charged. */
  readonly extents: readonly Extent[];
  readonly position: number;
  /** What is left in it at this moment. */
  readonly leftMinor: bigint;
}

export function askedAmount({ amount, extents, position, leftMinor }: AskedRequest): Asked {
  const extent = extents[position] ?? { machines: [], days: [] };
  if (amount.kind === 'percentage') {
    const base = percentageBase(amount.of, extent.machines, leftMinor);
    return { exact: rational((base > 0n ? base : 0n) * toBillionths(amount.percent), oneHundred), formula: 'percentage' };
  }
  return { exact: unitAmount({ amountMinor: amount.amountMinor, per: amount.per }, extents, position), formula: formulaOf(amount.per) };
}

function percentageBase(of: 'net-takings' | 'cashless-takings' | 'what-is-left', machines: readonly GroupMachine[], leftMinor: bigint): bigint {
  switch (of) {
    case 'net-takings':
      return machines.reduce((sum, entry) => sum + entry.netMinor, 0n);
    case 'cashless-takings':
      return machines.reduce((sum, entry) => sum + (entry.cell?.cashlessMinor ?? 0n), 0n);
    case 'what-is-left':
      return leftMinor;
  }
}

function unitAmount({ amountMinor, per }: { amountMinor: bigint; per: ChargeUnit }, extents: readonly Extent[], position: number): Rational {
  const extent = extents[position] ?? { machines: [], days: [] };
  switch (per) {
    case 'week':
    case 'month':
    case 'year':
      return amountForDays({ amountMinor, per }, extent.days);
    case 'machine-week':
    case 'machine-month': {
      const unit = per === 'machine-week' ? 'week' : 'month';
      const units = extent.machines.reduce((sum, entry) => (entry.days.length === 0 ? sum : addRationals(sum, unitsInDays(unit, entry.days))), zero);
      return rational(amountMinor * units.numerator, units.denominator);
    }
    case 'visit':
      return rational(amountMinor * BigInt(numberOfVisits(extent.machines)));
    case 'period': {
      const part = partOfPeriod(extents, position);
      return rational(amountMinor * BigInt(part.days), BigInt(part.ofDays));
    }
  }
}

function formulaOf(per: ChargeUnit): Formula {
  if (per === 'visit') return 'amount-per-visit';
  return per === 'period' ? 'amount-once' : 'amount-by-days';
}

/** An amount or threshold of the agreement or a pool, per time or per period; undefined where nothing was counted. */
export function scaledAmount({
  amountMinor,
  per,
  extents,
  position,
}: {
  amountMinor: bigint;
  per: 'week' | 'month' | 'year' | 'period';
  extents: readonly Extent[];
  position: number;
}): Rational | undefined {
  if (!extents.some((extent) => hasCount(extent.machines))) return undefined;
  return unitAmount({ amountMinor, per }, extents, position);
}
