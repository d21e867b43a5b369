/**
 * What issued periods would have come to under other terms. The inputs are those that the last settlement which took a
 * period in knew, so late counts stand in their own period; the rules are those of `settle`; what a period leaves opens
 * the next one. Only steps 1 to 7 are asked: the payout moves when money goes to a party, never how much.
 */
import type { CurrencyCode } from '#domain/money/currency';
import { checkInputs, type InputsProblemCode } from '#domain/settlement/check-inputs';
import { noCarries, type PeriodCarries } from '#domain/settlement/carries';
import { issuedLines } from '#domain/settlement/differences';
import type { PeriodInputs, SettlementInputs } from '#domain/settlement/inputs';
import type { Line, PeriodLine } from '#domain/settlement/lines';
import type { LimitBreach, SettlementResult } from '#domain/settlement/result';
import { settle } from '#domain/settlement/settle';
import type { AgreementVersion, PartyId, Terms } from '#domain/terms/types';

/** A settlement as it was issued, and stands. */
export interface IssuedSettlement {
  readonly inputs: SettlementInputs;
  readonly result: SettlementResult;
}

export interface StandingPeriod {
  /** All that is settled for the period, late or on time. */
  readonly inputs: PeriodInputs;
  readonly carriesIn: PeriodCarries;
  /** Everything issued for it so far, added up by key. */
  readonly issued: readonly PeriodLine[];
}

/** The periods that an agreement's settlements speak of, in order of days. `settlements` come oldest first. */
export function standingPeriods(settlements: readonly IssuedSettlement[]): StandingPeriod[] {
  const last = new Map<string, Omit<StandingPeriod, 'issued'>>();
  for (const { inputs, result } of settlements) {
    [...inputs.earlier.map((earlier) => earlier.inputs), inputs.current].forEach((period, position) => {
      const carriesIn = position === 0 ? inputs.carriesIn : result.periods[position - 1]?.carriesOut;
      last.set(period.period.id, { inputs: period, carriesIn: carriesIn ?? noCarries });
    });
  }
  const results = settlements.map(({ result }) => result);
  return [...last.values()]
    .sort((first, second) => (first.inputs.period.from < second.inputs.period.from ? -1 : 1))
    .map((period) => ({ ...period, issued: issuedLines(results, period.inputs.period.id) }));
}

export interface RerunRequest {
  readonly agreementId: string;
  readonly siteId: string;
  readonly currency: CurrencyCode;
  /** Oldest first. */
  readonly periods: readonly StandingPeriod[];
  /** What would have stood in the place of a version's terms; they have passed `checkTerms`. */
  readonly termsOf: (version: AgreementVersion) => Terms;
}

export interface RerunPeriod {
  readonly standing: StandingPeriod;
  /** The period's terms as they were asked for. */
  readonly inputs: PeriodInputs;
  readonly lines: readonly Line[];
  readonly breaches: readonly LimitBreach[];
}

export type Rerun =
  { readonly ok: true; readonly periods: readonly RerunPeriod[] } | { readonly ok: false; readonly period: PeriodInputs['period']; readonly code: InputsProblemCode };

/** Settles the periods one after the other. What the first one opens with is what it really opened with. */
export function rerun({ periods, termsOf, ...head }: RerunRequest): Rerun {
  const settled: RerunPeriod[] = [];
  let carriesIn = periods[0]?.carriesIn ?? noCarries;
  for (const standing of periods) {
    const current: PeriodInputs = { ...standing.inputs, versions: standing.inputs.versions.map((version) => ({ ...version, terms: termsOf(version) })) };
    const inputs: SettlementInputs = { format: 1, kind: 'regular', ...head, carriesIn, earlier: [], current, carriedItems: [], advances: [], handedCash: [] };
    const [problem] = checkInputs(inputs);
    if (problem !== undefined) return { ok: false, period: current.period, code: problem.code };
    const result = settle(inputs, { explain: false });
    const own = result.periods[0];
    if (own === undefined) throw new Error('a settlement without a period');
    carriesIn = own.carriesOut;
    settled.push({ standing, inputs: current, lines: own.lines, breaches: result.breaches });
  }
  return { ok: true, periods: settled };
}

/** What a party has of a period, in minor units. */
export interface Earned {
  /** After guarantees and caps. */
  readonly sharesMinor: bigint;
  readonly chargesMinor: bigint;
  /**
   * Stolen cash that the party makes good; of the operator also tax out of its own share, tokens at the value at which they
   * are shared, and cash that the meters imply beyond the counted. Below zero where more was counted than the meters imply.
   */
  readonly borneMinor: bigint;
}

export const nothingEarned: Earned = { sharesMinor: 0n, chargesMinor: 0n, borneMinor: 0n };

/**
 * Whoever files a tax that the operator bears, it is the operator's. What is shared as takings though no cash came in, tokens
 * and the difference to the meters, is shared out of the operator's pocket: the shares have it, so the operator bears it.
 */
export function earnedOf(lines: Iterable<PeriodLine>, operator: PartyId): ReadonlyMap<PartyId, Earned> {
  const earned = new Map<PartyId, Earned>();
  const add = (party: PartyId, part: keyof Earned, amountMinor: bigint): void => {
    const before = earned.get(party) ?? nothingEarned;
    earned.set(party, { ...before, [part]: before[part] + amountMinor });
  };
  for (const { kind, about, amountMinor } of lines) {
    if (kind === 'operator-tax' || kind === 'tokens' || kind === 'metered-difference') add(operator, 'borneMinor', amountMinor);
    if (about.party === undefined) continue;
    if (kind === 'share' || kind === 'guarantee') add(about.party, 'sharesMinor', amountMinor);
    if (kind === 'charge') add(about.party, 'chargesMinor', amountMinor);
    if (kind === 'break-in') add(about.party, 'borneMinor', amountMinor);
  }
  return earned;
}
