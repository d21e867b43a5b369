import { lineOf } from './line.fixture';
import { picture, spanOf } from './picture';
import { waterfall } from './waterfall';

const lines = [
  lineOf({ kind: 'cash', machineTag: 'M-1' }, '300.00'),
  lineOf({ kind: 'cashless', machineTag: 'M-1' }, '100.00'),
  lineOf({ kind: 'refund', machineTag: 'M-1' }, '10.00'),
  lineOf({ kind: 'tax' }, '40.00'),
  lineOf({ kind: 'charge' }, '50.00'),
  lineOf({ kind: 'pool-left' }, '300.00'),
  lineOf({ kind: 'share', party: 'Operator' }, '150.00'),
  lineOf({ kind: 'share', party: 'Quay' }, '150.00'),
  lineOf({ kind: 'guarantee', party: 'Quay' }, '20.00'),
  lineOf({ kind: 'guarantee', party: 'Operator' }, '-20.00'),
];

describe('the waterfall as a picture', () => {
  const bars = picture(waterfall(lines));

  it('goes down from the takings to what is left, and lays the shares end to end over that', () => {
    expect(bars.map(({ key, kind, from, to }) => [key, kind, from, to])).toEqual([
      ['takings', 'whole', 0n, 40000n],
      ['refunds', 'step', 40000n, 39000n],
      ['tax', 'step', 39000n, 35000n],
      ['charges', 'step', 35000n, 30000n],
      ['left', 'whole', 0n, 30000n],
      ['share Operator', 'share', 0n, 13000n],
      ['share Quay', 'share', 13000n, 30000n],
    ]);
    expect(spanOf(bars)).toEqual({ least: 0n, most: 40000n });
  });

  it('shows a loss below zero', () => {
    const loss = picture(waterfall([lineOf({ kind: 'cash' }, '20.00'), lineOf({ kind: 'charge' }, '50.00'), lineOf({ kind: 'pool-left' }, '-30.00'), lineOf({ kind: 'share', party: 'Operator' }, '0.00')]));
    expect(spanOf(loss)).toEqual({ least: -3000n, most: 2000n });
    expect(loss.map(({ to }) => to)).toEqual([2000n, -3000n, -3000n, 0n]);
  });
});
