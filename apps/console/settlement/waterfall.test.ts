import { localDate } from '#domain/calendar/local-date';
import { sum } from '../format/money';
import { lineOf } from './line.fixture';
import { blocks, waterfall } from './waterfall';

const lines = [
  lineOf({ kind: 'cash', machineTag: 'M-1' }, '300.00'),
  lineOf({ kind: 'cash', machineTag: 'M-2' }, '200.00'),
  lineOf({ kind: 'cashless', machineTag: 'M-2' }, '50.00'),
  lineOf({ kind: 'refund', step: 'refunds', machineTag: 'M-1' }, '10.00'),
  lineOf({ kind: 'net-takings', step: 'refunds', machineTag: 'M-1' }, '290.00'),
  lineOf({ kind: 'tax-base', step: 'tax' }, '540.00'),
  lineOf({ kind: 'tax', step: 'tax' }, '40.00'),
  lineOf({ kind: 'charge', step: 'charges' }, '100.00'),
  lineOf({ kind: 'pool-left', step: 'charges' }, '400.00'),
  lineOf({ kind: 'share', step: 'split', party: 'site' }, '200.00'),
  lineOf({ kind: 'share', step: 'split', party: 'operator' }, '200.00'),
  lineOf({ kind: 'payee-share', step: 'payout', party: 'site' }, '200.00'),
  lineOf({ kind: 'payee-handed-cash', step: 'payout', party: 'site' }, '-30.00'),
  lineOf({ kind: 'payable', step: 'payout', party: 'site' }, '170.00'),
];
const amounts = (rows: ReturnType<typeof waterfall>) => Object.fromEntries(rows.map(({ stage, amount }) => [stage, amount.amount]));

describe('the waterfall', () => {
  it('adds up each stage once and signs it as it goes into the sum', () => {
    expect(amounts(waterfall(lines))).toEqual({
      takings: '550.00', refunds: '-10.00', tax: '-40.00', charges: '-100.00', left: '400.00', shares: '400.00', payout: '170.00', payable: '170.00',
    });
  });

  it('comes from takings to what is left without a gap', () => {
    const rows = waterfall(lines);
    const amountsOf = (...wanted: string[]) => rows.filter(({ stage }) => wanted.includes(stage)).map(({ amount }) => amount);
    expect([sum(amountsOf('takings', 'refunds', 'tax', 'charges'))]).toEqual(amountsOf('left'));
  });

  it('shows beside a stage how it came about, without counting it', () => {
    const tax = waterfall(lines).find((each) => each.stage === 'tax');
    expect(tax?.lines.map((each) => each.kind)).toEqual(['tax']);
    expect(tax?.details.map((each) => each.kind)).toEqual(['tax-base']);
  });

  it('does not say twice what is paid when nothing but the share is', () => {
    const simple = [lineOf({ kind: 'payee-share', step: 'payout' }, '200.00'), lineOf({ kind: 'payable', step: 'payout' }, '200.00')];
    const rows = waterfall(simple);
    expect(amounts(rows)).toEqual({ payable: '200.00' });
    expect(rows[0]?.details).toEqual([simple[0]]);
  });

  it('leaves out a stage that comes to nothing, but not a nothing that people look for', () => {
    const empty = [lineOf({ kind: 'cash' }, '0.00'), lineOf({ kind: 'refund', step: 'refunds' }, '0.00'), lineOf({ kind: 'payable', step: 'payout' }, '0.00')];
    expect(amounts(waterfall(empty))).toEqual({ takings: '0.00', payable: '0.00' });
    expect(waterfall([])).toEqual([]);
  });

  it('shows a stage whose lines cancel each other out', () => {
    const moved = [
      lineOf({ kind: 'guarantee', step: 'guarantees', party: 'site' }, '20.00'),
      lineOf({ kind: 'guarantee', step: 'guarantees', party: 'operator' }, '-20.00'),
    ];
    expect(amounts(waterfall(moved))).toEqual({ guarantees: '0.00' });
  });
});

describe('earlier periods', () => {
  it('are blocks of their own, oldest first, and the payout runs once over all of them', () => {
    const late = [
      lineOf({ kind: 'cash', periodStartsOn: localDate('2026-09-01') }, '5.00'),
      lineOf({ kind: 'cash', periodStartsOn: localDate('2026-08-01') }, '7.00'),
    ];
    const { own, earlier, payout } = blocks([...late, ...lines], '2026-10-01');
    expect(own).toEqual(lines.filter((line) => line.step !== 'payout'));
    expect(earlier.map((each) => each.startsOn)).toEqual(['2026-08-01', '2026-09-01']);
    expect(earlier[1]?.lines).toEqual([late[0]]);
    expect(payout).toEqual(lines.filter((line) => line.step === 'payout'));
  });

  it('leave the payout at the end of the waterfall when there are none', () => {
    expect(blocks(lines, '2026-10-01')).toEqual({ own: lines, earlier: [], payout: [] });
  });
});
