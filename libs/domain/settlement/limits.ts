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
  return limitsInForce(request.inputs).flatMap((limit) => {
    const breach = breachOf(limit, request);
    return breach === null ? [] : [breach];
  });
}

function limitsInForce({ limits, period }: PeriodInputs): readonly LawLimit[] {
  const from = toDayNumber(period.from);
  const until = toDayNumber(period.until);
  return limits.filter((limit) => toDayNumber(limit.from) < until && (limit.until === null || toDayNumber(limit.until) > from));
}

export interface ChangedPeriod extends Omit<LimitsRequest, 'advancesRepaidMinor'> {
  /** What of `lines`, which are the period as a whole, is new against everything issued for it. */
  readonly differences: readonly PeriodLine[];
}

/**
 * The same of an issued period that is settled again by difference. The law limits what the site has of a period, not what
 * is new of it, so the whole is tested; but only where the division is new, for what was issued stays. A limit may have been
 * recorded after it was issued: then a change that brings the figures nearer to what is allowed, though not all the way, is
 * the better one of the two that there are. One that takes them further away is a breach. Advances are repaid in the
 * settlement's own period.
 */
export function breachesOfChanged({ differences, ...whole }: ChangedPeriod): LimitBreach[] {
  const changed = dividedOf({ lines: differences, site: whole.site });
  if (changed.totalMinor === 0n && changed.siteMinor === 0n) return [];
  const now = dividedOf(whole);
  const issued = { ...now, totalMinor: now.totalMinor - changed.totalMinor, siteMinor: now.siteMinor - changed.siteMinor };
  return limitsInForce(whole.inputs).flatMap((limit) => {
    const breach = breachOf(limit, { ...whole, advancesRepaidMinor: 0n });
    return breach === null || isNoFurther(limit, { issued, now }) ? [] : [{ ...breach, changedPeriod: whole.inputs.period }];
  });
}

/** What is divided, what the site gets of it, and how many odd units it may have beside that. */
interface Divided {
  readonly totalMinor: bigint;
  readonly siteMinor: bigint;
  readonly toleranceMinor: bigint;
}

/** Both are broken, and what is now is as far away from what is allowed as what was issued, or nearer, but for the odd units. */
function isNoFurther(limit: LawLimit, { issued, now }: { readonly issued: Divided; readonly now: Divided }): boolean {
  return breachOfDivided(limit, issued) !== null && awayMinor(limit, now) <= awayMinor(limit, issued) + now.toleranceMinor;
}

function awayMinor(limit: LawLimit, divided: Divided): bigint {
  const away = divided.siteMinor - allowedMinorOf(limit, divided);
  return away < 0n ? -away : away;
}

function breachOf(limit: LawLimit, request: LimitsRequest): LimitBreach | null {
  const { id: limitId, areaId, source, kind } = limit;
  const { advancesRepaidMinor } = request;
  const broken =
    limit.kind !== 'no-advances' ? breachOfDivided(limit, dividedOf(request)) : advancesRepaidMinor > 0n ? { allowedMinor: 0n, actualMinor: advancesRepaidMinor } : null;
  return broken === null ? null : { limitId, areaId, source, kind, ...broken };
}

function breachOfDivided(limit: LawLimit, divided: Divided): { allowedMinor: bigint; actualMinor: bigint } | null {
  const allowedMinor = allowedMinorOf(limit, divided);
  const { siteMinor: actualMinor, toleranceMinor } = divided;
  if (actualMinor > allowedMinor + toleranceMinor) return { allowedMinor, actualMinor };
  // A loss breaks no limit, however little of it the site bears.
  const isTooLittle = limit.kind === 'fixed-split' && divided.totalMinor > 0n && actualMinor < allowedMinor - toleranceMinor - 1n;
  return isTooLittle ? { allowedMinor, actualMinor } : null;
}

/** Nothing left to divide leaves nothing: whatever a guarantee still lifts the site to is more than its part of it. */
function allowedMinorOf(limit: LawLimit, { totalMinor }: Divided): bigint {
  if (limit.kind === 'no-advances' || totalMinor <= 0n) return 0n;
  return percentRoundedUp(limit.kind === 'highest-site-share' ? limit.percent : limit.sitePercent, totalMinor);
}

/** The site may get the odd unit of each pool that is divided, so as many units are tolerated beside the first one's, which is in the rounding. */
function dividedOf({ lines, site }: Pick<LimitsRequest, 'lines' | 'site'>): Divided {
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
