import { lineOf } from './line.fixture';
import { columnsOf, columnTotal, machineRows } from './machines';

const lines = [
  lineOf({ kind: 'cash', machineTag: 'M-10' }, '300.00'),
  lineOf({ kind: 'cash', machineTag: 'M-9' }, '200.00'),
  lineOf({ kind: 'cash', machineTag: 'M-9' }, '25.00'),
  lineOf({ kind: 'refund', step: 'refunds', machineTag: 'M-9' }, '5.00'),
  lineOf({ kind: 'net-takings', step: 'refunds', machineTag: 'M-9' }, '220.00'),
  lineOf({ kind: 'charge', step: 'charges' }, '100.00'),
];

describe('the table of machines', () => {
  const rows = machineRows(lines);

  it('has one row per machine, in the order in which people read tags', () => {
    expect(rows.map((each) => each.tag)).toEqual(['M-9', 'M-10']);
    expect(rows[0]?.figures).toEqual({
      cash: { amount: '225.00', currency: 'USD' },
      refunds: { amount: '5.00', currency: 'USD' },
      net: { amount: '220.00', currency: 'USD' },
    });
    expect(rows[0]?.lines).toHaveLength(4);
  });

  it('has the columns that some machine fills, and their totals', () => {
    expect(columnsOf(rows)).toEqual(['cash', 'refunds', 'net']);
    expect(columnTotal(rows, 'cash')).toEqual({ amount: '525.00', currency: 'USD' });
    expect(columnTotal(rows, 'tax')).toBeNull();
  });
});
