/**
 * Step 7: the law of the place, tested on the figures themselves. Terms that break a limit are refused when they are
 * written; guarantees and charges can still lift the site above it, so every settlement is tested too, and with it every issued period that it changes.
 *
 * What is divided is the sum of all shares and of the charges to the site: tax and the operator's reimbursements come
 * first (Texas Occupations Code 2153.205: the owner is reimbursed the machine tax, the site gets at most half of the rest).
 */
import { toDayNumber } from '#domain/calendar/local-date';
import { oneHundred, toBillionths, type Decimal } from '#domain/money/decimal';
import type { LawLimit } from '#domain/tax/types';
import type { PartyId } from '#domain/terms/types';
import type { PeriodLine } from '#domain/settlement/lines';
import type { LimitBreach, PeriodInputs } from '#domain/settlement/types';

export interface LimitsRequest {
  readonly inputs: PeriodInputs;
  readonly lines: readonly PeriodLine[];
  readonly site: PartyId;
  readonly advancesRepaidMinor: bigint;
}

/** Limits in force on any day of the period that its figures do not keep, in the order of the inputs. */
export function breachesOf(request: LimitsRequest): LimitBreach[] {
  const { inputs } = request;
  const from = toDayNumber(inputs.period.from);
  const until = toDayNumber(inputs.period.until);
  return inputs.limits
    .filter((limit) => toDayNumber(limit.from) < until && (limit.until === null || toDayNumber(limit.until) > from))
    .flatMap((limit) => {
      const breach = breachOf(limit, request);
      return breach === null ? [] : [breach];
    });
}

export interface ChangedPeriod extends Omit<LimitsRequest, 'advancesRepaidMinor'> {
  /** What of `lines`, which are the period as a whole, is new against everything issued for it. */
  readonly differences: readonly PeriodLine[];
}

/**
 * The same of an issued period that is settled again by difference. The law limits what the site has of a period, not what
 * is new of it, so the whole is tested; but only where the division is new, for what was issued stays. Advances are
 * repaid in the settlement's own period.
 */
export function breachesOfChanged({ differences, ...whole }: ChangedPeriod): LimitBreach[] {
  const { totalMinor, siteMinor } = dividedOf({ lines: differences, site: whole.site });
  if (totalMinor === 0n && siteMinor === 0n) return [];
  return breachesOf({ ...whole, advancesRepaidMinor: 0n }).map((breach) => ({ ...breach, changedPeriod: whole.inputs.period }));
}

function breachOf(limit: LawLimit, request: LimitsRequest): LimitBreach | null {
  const { id: limitId, areaId, source, kind } = limit;
  const breach = (allowedMinor: bigint, actualMinor: bigint): LimitBreach => ({ limitId, areaId, source, kind, allowedMinor, actualMinor });
  if (limit.kind === 'no-advances') return request.advancesRepaidMinor > 0n ? breach(0n, request.advancesRepaidMinor) : null;
  const divided = dividedOf(request);
  // Nothing is left to divide: a loss breaks no limit, but whatever a guarantee still lifts the site to is more than its part of nothing.
  if (divided.totalMinor <= 0n) return divided.siteMinor > divided.toleranceMinor ? breach(0n, divided.siteMinor) : null;
  if (limit.kind === 'highest-site-share') {
    const allowedMinor = percentRoundedUp(limit.percent, divided.totalMinor);
    return divided.siteMinor > allowedMinor + divided.toleranceMinor ? breach(allowedMinor, divided.siteMinor) : null;
  }
  const allowedMinor = percentRoundedUp(limit.sitePercent, divided.totalMinor);
  const away = divided.siteMinor - allowedMinor;
  return away > divided.toleranceMinor || -away > divided.toleranceMinor + 1n ? breach(allowedMinor, divided.siteMinor) : null;
}

/** The site may get the odd unit of each pool that is divided, so as many units are tolerated. */
function dividedOf({ lines, site }: Pick<LimitsRequest, 'lines' | 'site'>): { totalMinor: bigint; siteMinor: bigint; toleranceMinor: bigint } {
  let totalMinor = 0n;
  let siteMinor = 0n;
  const pools = new Set<string>();
  for (const { kind, about, amountMinor } of lines) {
    const isShare = kind === 'share' || kind === 'guarantee';
    if (kind === 'share') pools.add(`${about.group ?? 0}/${about.poolKey ?? ''}`);
    if (isShare || (kind === 'charge' && about.party === site)) totalMinor += amountMinor;
    if ((isShare || kind === 'charge') && about.party === site) siteMinor += amountMinor;
  }
  return { totalMinor, siteMinor, toleranceMinor: BigInt(Math.max(pools.size - 1, 0)) };
}

function percentRoundedUp(percent: Decimal, amountMinor: bigint): bigint {
  return (amountMinor * toBillionths(percent) + oneHundred - 1n) / oneHundred;
}
