/** An issued period that was computed again, for a statement: figure by figure as issued and as it is now. */
import { addDays } from '#domain/calendar/local-date';
import type { PeriodLine } from '#domain/settlement/lines';
import { totalsOf } from '#domain/settlement/totals';
import type { EarlierPeriod as EarlierPeriodInputs } from '#domain/settlement/types';
import type { EarlierPeriod } from '#statement/document';
import type { Mapping } from '#statement/settlement-mapping';
import { amountForPayee } from '#statement/settlement-payable';

/** A figure of the earlier statement, added up from lines. */
interface Figure {
  readonly label: string;
  readonly amountMinor: bigint;
}

export function earlierPeriodOf(
  mapping: Pick<Mapping, 'facts' | 'language' | 'result' | 'partyName'>,
  { inputs, issued }: EarlierPeriodInputs,
): EarlierPeriod {
  const { facts, result } = mapping;
  const { period } = inputs;
  const statement = facts.earlierStatements.get(period.id);
  if (statement === undefined) throw new Error(`nothing is known of the statement for the period ${period.id}`);
  const difference = result.periods.find((candidate) => candidate.kind === 'difference' && candidate.period.id === period.id)?.lines ?? [];
  const before = figuresOf(mapping, issued);
  const changes = figuresOf(mapping, difference);
  return {
    firstDay: period.from,
    lastDay: addDays(period.until, -1),
    statementNumber: statement.statementNumber,
    reason: statement.reason,
    lines: [...changes].flatMap(([key, { label, amountMinor }]) => {
      const issuedMinor = before.get(key)?.amountMinor ?? 0n;
      return amountMinor === 0n ? [] : [{ label, issuedMinor, nowMinor: issuedMinor + amountMinor }];
    }),
    forPayeeMinor: amountForPayee(difference, facts.payee.partyId),
  };
}

/** In the order of the waterfall, over all pools and terms: a reader compares with the totals of the earlier statement. */
function figuresOf({ language, partyName }: Pick<Mapping, 'language' | 'partyName'>, lines: readonly PeriodLine[]): Map<string, Figure> {
  const { sharing } = language.words;
  const figures = new Map<string, Figure>([['net', { label: sharing.netTakings, amountMinor: totalsOf(lines).netTakingsMinor }]]);
  const add = (key: string, label: string, amountMinor: bigint): void => {
    figures.set(key, { label, amountMinor: (figures.get(key)?.amountMinor ?? 0n) + amountMinor });
  };
  for (const { kind, about, amountMinor } of lines) {
    const { title = '', party = '' } = about;
    if (kind === 'loss-in') add('loss-in', sharing.lossBroughtForward, amountMinor);
    if (kind === 'tax') add(`tax/${about.taxRuleId}/${about.taxComponentId}`, sharing.tax(title), -amountMinor);
    if (kind === 'charge') add(`charge/${about.chargeId}/${party}`, title, -amountMinor);
    if (kind === 'share' || kind === 'guarantee') add(`share/${party}`, sharing.shareOf(partyName(party)), amountMinor);
    if (kind === 'loss-out') add('loss-out', sharing.lossCarriedForward, -amountMinor);
  }
  return figures;
}
