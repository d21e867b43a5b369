import { readFileSync } from 'node:fs';
import { simulateYear, tableOf, wholeFleet } from './skimming';

const year = simulateYear(wholeFleet);

test('the table beside the code is what the simulation gives', () => {
  const readme = readFileSync('libs/domain/variance/README.md', 'utf8');
  expect(readme).toContain(tableOf(year).join('\n'));
});

test('small steady skims are found by the statistics within weeks, of which the tolerance misses most', () => {
  const at = (skim: number) => year.filter(({ skimPercent }) => skimPercent === skim);
  for (const skim of [2, 5, 10]) {
    expect(at(skim).filter(({ sumDelay }) => sumDelay !== null && sumDelay <= 12).length).toBeGreaterThanOrEqual(18);
  }
  expect(at(2).filter(({ toleranceDelay }) => toleranceDelay !== null).length).toBeLessThan(10);
});

test('honest machines are flagged by the sum less than once in two years', () => {
  const honest = year.filter(({ skimPercent }) => skimPercent === 0);
  expect(honest.reduce((sum, { falseBySum }) => sum + falseBySum, 0)).toBeLessThan(honest.length / 2);
});
