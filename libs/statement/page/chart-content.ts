/** What the chart of the last periods shows, as texts and amounts. */
import { addDays, type LocalDate } from '#domain/calendar/local-date';
import type { StatementDocument } from '#statement/document';
import { formatAmount, formatPeriod } from '#statement/words/format';
import type { StatementLanguage } from '#statement/words/words';

export interface ChartContent {
  readonly title: string;
  /** All that it shows, in words. */
  readonly alternative: string;
  /** How many columns there is room for; the first ones are used. */
  readonly slots: number;
  /** The last is the statement's own period. */
  readonly columns: readonly { readonly label: string; readonly year: string }[];
  /** A value and its text for every column. */
  readonly series: readonly { readonly label: string; readonly values: readonly bigint[]; readonly texts: readonly string[] }[];
}

const SLOTS = 12;

/** Nothing where there is no period before. */
export function chartOf(document: StatementDocument, language: StatementLanguage): ChartContent | undefined {
  const { recentPeriods, firstDay, lastDay, machines, payableMinor, currency } = document;
  if (recentPeriods.length === 0) return undefined;
  const own = { firstDay, lastDay, takingsMinor: machines.reduce((sum, { netMinor }) => sum + netMinor, 0n), payableMinor };
  const periods = [...recentPeriods.slice(1 - SLOTS), own];
  const { chart, sharing } = language.words;
  const text = (amountMinor: bigint): string => formatAmount(amountMinor, currency, language.conventions);
  const series = [
    { label: sharing.netTakings, values: periods.map((period) => period.takingsMinor) },
    { label: chart.balance, values: periods.map((period) => period.payableMinor) },
  ].map((each) => ({ ...each, texts: each.values.map(text) }));
  return {
    title: chart.title,
    alternative: [chart.title, ...periods.map((period, index) => `${formatPeriod(period, language)}: ${series.map(({ label, texts }) => `${label} ${texts[index] ?? ''}`).join(', ')}`)].join('. '),
    slots: SLOTS,
    columns: periods.map((period, index) => {
      const year = period.lastDay.slice(0, 4);
      return { label: columnLabel(period, language), year: index === 0 || periods[index - 1]?.lastDay.slice(0, 4) !== year ? year : '' };
    }),
    series,
  };
}

/** A calendar month by its name, any other period by its last day. */
function columnLabel({ firstDay, lastDay }: { firstDay: LocalDate; lastDay: LocalDate }, language: StatementLanguage): string {
  const months = language.words.months.map((month) => month.slice(0, 3));
  const isMonth = firstDay.endsWith('-01') && addDays(lastDay, 1).endsWith('-01') && firstDay.slice(0, 7) === lastDay.slice(0, 7);
  const month = months[Number(lastDay.slice(5, 7)) - 1] ?? '';
  return isMonth ? month : language.words.day({ day: Number(lastDay.slice(8)), month, year: undefined, order: language.conventions.dateOrder });
}
