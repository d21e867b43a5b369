import { localDate } from '#domain/calendar/local-date';
import type { RecentPeriod } from '#statement/document';
import { chartOf } from '#statement/page/chart-content';
import { languageOf } from '#statement/words/languages';
import { sampleStatement } from '#tests/support/sample-statement';

const month = (index: number): RecentPeriod => {
  const [year, first] = [2024 + Math.trunc(index / 12), (index % 12) + 1];
  const last = new Date(Date.UTC(year, first, 0)).getUTCDate();
  const named = `${year}-${String(first).padStart(2, '0')}`;
  return { firstDay: localDate(`${named}-01`), lastDay: localDate(`${named}-${last}`), takingsMinor: BigInt(index) * 1_000n, payableMinor: BigInt(index) * -100n };
};
const chartAfter = (recentPeriods: readonly RecentPeriod[], locale = 'en-US') => chartOf({ ...sampleStatement(), recentPeriods }, languageOf(locale));

it('is not drawn for a first period', () => {
  expect(chartAfter([])).toBeUndefined();
});

it('shows the periods there are, the statement’s own last, with its figures', () => {
  const sample = sampleStatement();
  const chart = chartAfter([month(14), month(15)]);
  expect(chart?.columns).toEqual([{ label: 'Mar', year: '2025' }, { label: 'Apr', year: '' }, { label: 'May', year: '' }]);
  const net = sample.machines.reduce((sum, { netMinor }) => sum + netMinor, 0n);
  expect(chart?.series.map(({ label, values }) => [label, ...values])).toEqual([['Net takings', 14_000n, 15_000n, net], ['Your balance', -1_400n, -1_500n, sample.payableMinor]]);
  expect(chart?.series.map(({ texts }) => texts[0])).toEqual(['140.00', '−14.00']);
});

it('shows twelve at most, the latest', () => {
  const chart = chartAfter(Array.from({ length: 14 }, (_, index) => month(index + 2)));
  expect(chart?.columns).toHaveLength(12);
  expect(chart?.columns.map(({ label }) => label)).toEqual(['Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec', 'Jan', 'Feb', 'Mar', 'Apr', 'May']);
  expect(chart?.columns.flatMap(({ year }, index) => (year === '' ? [] : [`${index} ${year}`]))).toEqual(['0 2024', '7 2025']);
});

it('names a week by its last day, as the language does', () => {
  const week = { ...month(15), firstDay: localDate('2025-04-22'), lastDay: localDate('2025-04-28') };
  expect(chartAfter([week])?.columns[0]?.label).toBe('Apr 28');
  expect(chartAfter([week], 'de-DE')?.columns[0]?.label).toBe('28. Apr');
  expect(chartAfter([week], 'es-MX')?.columns[0]?.label).toBe('28 de abr');
});

it('says all its figures in words', () => {
  const text = chartAfter([month(15)], 'de-DE')?.alternative ?? '';
  expect(text).toContain('1. – 30. April 2025: Bereinigte Einnahmen 150,00, Ihr Saldo −15,00');
  expect(text).toContain('1. – 31. Mai 2025: ');
});
