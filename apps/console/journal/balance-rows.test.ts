import { localDate } from '#domain/calendar/local-date';
import type { ChartAccount, TrialBalance } from '../api/shapes';
import { chartRows } from './balance-rows';
import { lastMonth } from './days';

type Row = TrialBalance['accounts'][number];
const money = (amount: string, currency = 'USD') => ({ amount, currency });
const row = (code: string, name: string, kind: Row['kind'], balance: string, currency = 'USD'): Row => ({
  code, name, kind, holderName: name.endsWith('QUAY') ? 'Quay Tavern' : null, opening: money('0.00', currency), debits: money(balance.replace('-', ''), currency), credits: money('0.00', currency), balance: money(balance, currency),
});
const chart: ChartAccount[] = [
  { code: 'payable', name: 'liabilities:payable', kind: 'liability', per: 'party', meaning: 'Owed to payees.' },
  { code: 'bank', name: 'assets:bank', kind: 'asset', per: 'operator', meaning: 'In the bank.' },
  { code: 'rounding', name: 'expenses:cash rounding', kind: 'expense', per: 'operator', meaning: 'Coins.' },
];
const accounts = [row('payable:1', 'liabilities:payable:QUAY', 'liability', '-30.00'), row('payable:2', 'liabilities:payable:MILL', 'liability', '-12.00'), row('bank', 'assets:bank', 'asset', '42.00'), row('bank', 'assets:bank', 'asset', '5.00', 'EUR')];

it('sums the accounts of the holders under the account of the chart, assets first, and leaves out what has no entries', () => {
  expect(chartRows({ accounts, chart, currency: 'USD' }).map(({ name, figures, holders }) => [name, figures.balance.amount, holders.map((each) => [each.name, each.figures.balance.amount])])).toEqual([
    ['Bank', '42.00', []],
    ['Payable', '-42.00', [['Quay Tavern, QUAY', '-30.00'], ['MILL', '-12.00']]],
  ]);
});

it('keeps currencies apart', () => {
  expect(chartRows({ accounts, chart, currency: 'EUR' })).toMatchObject([{ code: 'bank', figures: { balance: money('5.00', 'EUR') } }]);
});

it('begins with the last month that is over', () => {
  expect(lastMonth(localDate('2026-03-15'))).toEqual({ from: '2026-02-01', to: '2026-02-28' });
  expect(lastMonth(localDate('2026-01-01'))).toEqual({ from: '2025-12-01', to: '2025-12-31' });
});
