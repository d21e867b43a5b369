import type { Line } from '#domain/settlement/lines';
import type { PeriodResult, SettlementResult } from '#domain/settlement/result';
import type { PartyId } from '#domain/terms/types';
import { carriesTextOf, type ComputedSettlement } from './compute';
import type { TargetRow } from './inputs/targets.sql';
import type { LineRow, SettlementFigures, SettlementRow } from './save.sql';

export function settlementRow(parts: { id: string; target: TargetRow; closeRunId: string | null; computed: ComputedSettlement }): SettlementRow {
  const { id, target, closeRunId, computed } = parts;
  return {
    id,
    agreementId: target.agreement_id,
    siteId: target.site_id,
    periodId: target.period_id,
    closeRunId,
    startsOn: target.starts_on,
    endsBefore: target.ends_before,
    kind: computed.result.kind,
    currency: target.currency,
    engineVersion: String(computed.result.engineVersion),
    inputs: computed.inputsText,
    inputsDigest: computed.inputsDigest,
    result: computed.resultText,
    resultDigest: computed.resultDigest,
    carries: carriesTextOf(id, computed.result),
    ...figuresOf(computed.result),
  };
}

/** Lines as rows, for reports that add up over settlements. Numbers run through all periods and the payout. */
export function lineRows(settlementId: string, result: SettlementResult): LineRow[] {
  const ownStartsOn = ownPeriod(result).period.from;
  const row = (line: Line, periodStartsOn: string): LineRow => ({
    settlementId,
    lineNumber: line.number,
    periodStartsOn,
    step: line.step,
    kind: line.kind,
    machineId: line.about.machineId ?? null,
    party: line.about.party ?? null,
    amountMinor: line.amountMinor,
  });
  return [
    ...result.periods.flatMap((period) => period.lines.map((line) => row(line, period.period.from))),
    ...result.payoutLines.map((line) => row(line, ownStartsOn)),
  ];
}

/**
 * The figures of lists: takings to shares of the settlement's own period, what earlier periods add for the site, and what
 * the site is owed in the end.
 */
export function figuresOf(result: SettlementResult): SettlementFigures {
  const own = ownPeriod(result);
  const site = partyInRole(result, 'site');
  const { takingsMinor, refundsMinor, taxBeforeSplitMinor, operatorTaxMinor, chargesMinor } = own.totals;
  return {
    takingsMinor,
    refundsMinor,
    taxMinor: taxBeforeSplitMinor + operatorTaxMinor,
    chargesMinor,
    operatorShareMinor: sumOf(own.lines, isShareOf(partyInRole(result, 'operator'))),
    siteShareMinor: sumOf(own.lines, isShareOf(site)),
    earlierMinor: result.periods.slice(0, -1).reduce((sum, period) => sum + dueTo(period.lines, site), 0n),
    payableMinor: result.payables.find((payable) => payable.party === site)?.amountMinor ?? 0n,
  };
}

function ownPeriod(result: SettlementResult): PeriodResult {
  const own = result.periods.at(-1);
  if (own === undefined) throw new Error('a settlement without a period');
  return own;
}

export function partyInRole(result: SettlementResult, role: 'operator' | 'site'): PartyId | undefined {
  return result.parties.find((party) => party.role === role)?.party;
}

function isShareOf(party: PartyId | undefined): (line: Line) => boolean {
  return (line) => line.about.party === party && (line.kind === 'share' || line.kind === 'guarantee');
}

/** What the lines of a period come to for a payee, before cash handed out, advances and carried items. */
export function dueTo(lines: readonly Line[], party: PartyId | undefined): bigint {
  const owed = sumOf(lines, (line) => {
    if (line.about.party !== party) return false;
    if (line.kind === 'tax' || line.kind === 'operator-tax') return line.about.filedBy === 'site';
    return line.kind === 'share' || line.kind === 'guarantee' || line.kind === 'charge' || line.kind === 'refund';
  });
  return owed - sumOf(lines, (line) => line.about.party === party && line.kind === 'break-in');
}

function sumOf(lines: readonly Line[], belongs: (line: Line) => boolean): bigint {
  return lines.reduce((sum, line) => (belongs(line) ? sum + line.amountMinor : sum), 0n);
}
