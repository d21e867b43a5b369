/** Computes a settlement. The same inputs always give the same result; nothing else goes in. */
import { addDays } from '#domain/calendar/local-date';
import { settlementPostings } from '#domain/journal/settlement-postings';
import { operatorOf, siteOf } from '#domain/terms/parties';
import type { AgreementVersion, TermsParty } from '#domain/terms/types';
import { writeDifferences } from '#domain/settlement/differences';
import { breachesOf, breachesOfChanged } from '#domain/settlement/limits';
import { lineSink, type LineSink } from '#domain/settlement/line-sink';
import type { Line } from '#domain/settlement/lines';
import { payOut } from '#domain/settlement/payout';
import { partyResults, taxTotals, totalsOf } from '#domain/settlement/totals';
import { runPeriod } from '#domain/settlement/waterfall';
import type { LimitBreach, PeriodCarries, PeriodInputs, PeriodResult, SettlementInputs, SettlementResult } from '#domain/settlement/types';

/** Of the rules in this folder. A change that alters any figure gets the next number and keeps this path for the old one. */
export const engineVersion = 1;

export interface SettleOptions {
  /** Without explanations a settlement is computed faster; the figures are the same. */
  readonly explain: boolean;
  /**
   * States the exact value of every rounded part, which explanations did not do at first. Documents that were issued with
   * explanations must come out as they were, so it is asked for.
   */
  readonly inFull?: boolean;
}

/**
 * Settles a period together with everything that has changed in earlier ones since they were issued. Inputs must have
 * passed `checkInputs`; a mistake in them that it would have found throws here.
 */
export function settle(inputs: SettlementInputs, options: SettleOptions = { explain: true }): SettlementResult {
  const periods: PeriodResult[] = [];
  const breaches: LimitBreach[] = [];
  let carries = inputs.carriesIn;
  let nextNumber = 1;
  for (const { inputs: period, issued } of inputs.earlier) {
    const now = lineSink({ ...options, firstNumber: 1 });
    carries = runPeriod(now, period, carries);
    const sink = lineSink({ ...options, firstNumber: nextNumber });
    writeDifferences(sink, now.lines, issued);
    periods.push(periodResult(sink, period, 'difference', carries));
    breaches.push(...breachesOfChanged({ inputs: period, lines: now.lines, site: siteOf(versionInForceAtEnd(period).terms), differences: sink.lines }));
    nextNumber = sink.nextNumber;
  }
  const sink = lineSink({ ...options, firstNumber: nextNumber });
  carries = runPeriod(sink, inputs.current, carries);
  periods.push(periodResult(sink, inputs.current, 'current', carries));
  return payAndTotal({ inputs, periods, breaches }, lineSink({ ...options, firstNumber: sink.nextNumber }));
}

function periodResult(sink: LineSink, inputs: PeriodInputs, kind: PeriodResult['kind'], carriesOut: PeriodCarries): PeriodResult {
  return { period: inputs.period, kind, lines: sink.lines, totals: totalsOf(sink.lines), carriesOut };
}

interface SettledPeriods {
  readonly inputs: SettlementInputs;
  readonly periods: readonly PeriodResult[];
  /** Of the changed periods. */
  readonly breaches: readonly LimitBreach[];
}

function payAndTotal({ inputs, periods, breaches }: SettledPeriods, sink: LineSink): SettlementResult {
  const { currency, agreementId, kind } = inputs;
  const { terms, id: versionId } = versionInForceAtEnd(inputs.current);
  const operator = operatorOf(terms);
  const parties = partiesOf(inputs);
  const lines = periods.length === 1 ? (periods[0]?.lines ?? []) : periods.flatMap((period) => period.lines);
  const payables = payOut(sink, { inputs, terms, versionId, payees: parties.filter((party) => party.id !== operator), lines });
  const advancesRepaidMinor = payables.reduce((sum, payable) => sum + payable.advancesRepaidMinor, 0n);
  const currentLines = periods[periods.length - 1]?.lines ?? [];
  return {
    format: 1,
    engineVersion,
    kind,
    currency,
    agreementId,
    periods,
    parties: partyResults(lines, parties),
    payables,
    payoutLines: sink.lines,
    taxes: taxTotals(lines, taxIdLookup(inputs)),
    totals: totalsOf(lines),
    breaches: [...breaches, ...breachesOf({ inputs: inputs.current, lines: currentLines, site: siteOf(terms), advancesRepaidMinor })],
    postings: settlementPostings(allLines(lines, sink.lines), { agreementId, operator }),
  };
}

function allLines(lines: readonly Line[], payoutLines: readonly Line[]): Line[] {
  return lines.concat(payoutLines);
}

/** The version in force on the period's last day: its payout rules hold for the whole settlement. */
export function versionInForceAtEnd({ period, versions }: PeriodInputs): AgreementVersion {
  const lastDay = addDays(period.until, -1);
  const started = versions.filter((version) => version.startsOn <= lastDay);
  const chosen =
    started.reduce<AgreementVersion | undefined>(
      (latest, version) => (latest === undefined || version.startsOn > latest.startsOn ? version : latest),
      undefined,
    ) ?? versions[0];
  if (chosen === undefined) throw new Error('A period needs at least one version of its agreement');
  return chosen;
}

/** Parties of the latest terms first, in their order, then those that only earlier terms, rests or items name. */
function partiesOf(inputs: SettlementInputs): TermsParty[] {
  const known = new Map<string, TermsParty>();
  const add = (party: TermsParty): void => {
    if (!known.has(party.id)) known.set(party.id, party);
  };
  versionInForceAtEnd(inputs.current).terms.parties.forEach(add);
  const periods = [inputs.current, ...inputs.earlier.map((earlier) => earlier.inputs)];
  for (const period of periods) for (const version of period.versions) version.terms.parties.forEach(add);
  const others = [
    ...inputs.carriesIn.chargeRests.map((rest) => rest.to),
    ...inputs.carriedItems.map((item) => item.party),
    ...inputs.handedCash.map((item) => item.party),
    ...inputs.earlier.flatMap((earlier) => earlier.issued.flatMap((line) => line.about.party ?? [])),
    ...periods.flatMap((period) => period.refundSlips.map((slip) => slip.paidBy)),
  ];
  for (const id of [...new Set(others)].sort()) add({ id, role: 'other' });
  return [...known.values()];
}

function taxIdLookup(inputs: SettlementInputs): (ruleId: string) => string {
  const byRule = new Map<string, string>();
  for (const period of [...inputs.earlier.map((earlier) => earlier.inputs), inputs.current]) {
    for (const rule of period.taxRules) byRule.set(rule.id, rule.taxId);
  }
  return (ruleId) => byRule.get(ruleId) ?? ruleId;
}
