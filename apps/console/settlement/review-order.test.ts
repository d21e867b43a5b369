import { rowOf } from '../month-end/row.fixture';
import { reviewOrder } from './review-order';

const usd = (amount: string) => ({ amount, currency: 'USD' as const });
const changed = (code: string, now: string) => rowOf(code, 'draft', { settlementId: `s-${code}`, payable: usd(now), previousPayable: usd('100.00') });

it('puts drafts that stand out before the others, each in the order that they came in', () => {
  const rows = [changed('A', '101.00'), changed('B', '300.00'), changed('C', '99.00'), changed('D', '10.00')];
  const drafts = ['s-A', 's-B', 's-C', 's-D', 's-elsewhere'].map((id) => ({ id }));
  expect(reviewOrder(drafts, [rows])).toEqual([
    { id: 's-B', unusual: rows[1] }, { id: 's-D', unusual: rows[3] }, { id: 's-A', unusual: null }, { id: 's-C', unusual: null }, { id: 's-elsewhere', unusual: null },
  ]);
});

it('compares each with those of its own cycle', () => {
  const month = Array.from({ length: 10 }, (_, index) => changed(`M-${index}`, `${200 + index}.00`));
  const weeks = [changed('W', '205.00')];
  expect(reviewOrder([{ id: 's-M-1' }, { id: 's-W' }], [month, weeks])).toEqual([{ id: 's-W', unusual: weeks[0] }, { id: 's-M-1', unusual: null }]);
});

it('passes over what is a draft no more', () => {
  expect(reviewOrder([], [[changed('A', '300.00')]])).toEqual([]);
});
