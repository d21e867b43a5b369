import type { AgreementRow } from '../api/shapes';
import { causeOf, changeOf, compareStates, countsOf, filterFrom, narrowed, unusualFirst, unusualIn } from './list';
import { rowOf } from './row.fixture';

const usd = (amount: string) => ({ amount, currency: 'USD' as const });

const rows = [
  rowOf('A1', 'draft', { siteName: 'Café Łuna' }),
  rowOf('A2', 'no-collections'),
  rowOf('A3', 'open-collections'),
  rowOf('A4', 'failed'),
  rowOf('A5', 'ready'),
  rowOf('A6', 'issued'),
];
const codes = (found: readonly AgreementRow[]) => found.map((each) => each.siteCode);

describe('narrowing the list', () => {
  it('takes what a step of the month end is about', () => {
    expect(codes(narrowed(rows, { filter: 'to-collect', search: '' }))).toEqual(['A2', 'A3']);
    expect(codes(narrowed(rows, { filter: 'to-settle', search: '' }))).toEqual(['A4', 'A5']);
    expect(narrowed(rows, { filter: 'all', search: '' })).toHaveLength(rows.length);
    expect(filterFrom('draft')).toBe('draft');
    expect(filterFrom('anything')).toBe('all');
    expect(filterFrom(null)).toBe('all');
  });

  it('finds a site by parts of code and name, without accents and capitals', () => {
    expect(codes(narrowed(rows, { filter: 'all', search: 'cafe a1' }))).toEqual(['A1']);
    expect(codes(narrowed(rows, { filter: 'all', search: '  SITE a4 ' }))).toEqual(['A4']);
    expect(narrowed(rows, { filter: 'issued', search: 'cafe' })).toEqual([]);
  });

  it('takes drafts that are held, and what is not paid, whoever owes it', () => {
    const payment = (state: NonNullable<AgreementRow['payment']>['state'], toPay: string, toReceive: string) => ({ payment: { state, toPay: usd(toPay), toReceive: usd(toReceive) } });
    const list = [
      rowOf('H1', 'draft', { heldBecause: 'an odd count' }),
      rowOf('P1', 'issued', payment('open', '40.00', '0.00')),
      rowOf('P2', 'numbered', payment('partly-paid', '0.00', '5.00')),
      rowOf('P3', 'issued', payment('disputed', '1.00', '2.00')),
      rowOf('P4', 'issued', payment('paid', '0.00', '0.00')),
      ...rows,
    ];
    expect(codes(narrowed(list, { filter: 'held', search: '' }))).toEqual(['H1']);
    expect(codes(narrowed(list, { filter: 'unpaid', search: '' }))).toEqual(['P1', 'P2', 'P3']);
    expect(codes(narrowed(list, { filter: 'to-receive', search: '' }))).toEqual(['P2', 'P3']);
    expect(countsOf(list)).toMatchObject({ draft: 2, held: 1, unpaid: 3, 'to-receive': 2, issued: 4 });
  });

  it('counts what each filter would leave', () => {
    expect(countsOf(rows)).toEqual({ all: 6, 'to-collect': 2, 'to-settle': 2, failed: 1, draft: 1, held: 0, reviewed: 0, numbered: 0, issued: 1, unpaid: 0, 'to-receive': 0 });
  });
});

describe('ordering and comparing', () => {
  it('puts first what asks for somebody', () => {
    expect([...rows].sort((one, other) => compareStates(one.state, other.state)).map((each) => each.state)).toEqual([
      'no-collections', 'open-collections', 'failed', 'ready', 'draft', 'issued',
    ]);
  });

  const changed = (code: string, now: string, before: string) => rowOf(code, 'draft', { payable: usd(now), previousPayable: usd(before) });

  it('tells the change against the period before, where there is one', () => {
    expect(changeOf(changed('A', '50.00', '100.00'))).toBe(-500);
    expect(changeOf(changed('A', '50.00', '0.00'))).toBeNull();
    expect(changeOf(rowOf('A', 'draft', { payable: usd('1.00') }))).toBeNull();
  });

  it('calls a change unusual from half as much again or half gone', () => {
    const few = [changed('A', '150.00', '100.00'), changed('B', '149.99', '100.00'), changed('C', '50.00', '100.00'), changed('D', '50.01', '100.00'), rowOf('E', 'draft')];
    expect([...unusualIn(few)]).toEqual(['A', 'C']);
  });

  it('does not call unusual what happened to nearly all', () => {
    const all = Array.from({ length: 20 }, (_, index) => changed(`S-${index}`, `${155 + index}.00`, '100.00'));
    expect(unusualIn(all).size).toBe(0);
    expect([...unusualIn([...all, changed('ODD', '40.00', '100.00')])]).toEqual(['ODD']);
  });
});

describe('unusual drafts', () => {
  const draft = (siteCode: string, more: Partial<AgreementRow> = {}) => rowOf(siteCode, 'draft', { payable: usd('300.00'), previousPayable: usd('100.00'), takings: usd('500.00'), previousTakings: usd('490.00'), earlier: usd('0.00'), ...more });

  it('come before all others, which keep their order', () => {
    const list = [rowOf('B1', 'ready'), draft('B2'), rowOf('B3', 'issued'), draft('B4'), rowOf('B5', 'failed')];
    expect(codes(unusualFirst(list, new Set(['B3', 'B4'])))).toEqual(['B4', 'B1', 'B2', 'B3', 'B5']);
    expect(codes(unusualFirst(list, new Set()))).toEqual(['B1', 'B2', 'B3', 'B4', 'B5']);
  });

  it.each([
    // More than half of the change of 200.00, and the same way.
    [{ earlier: usd('100.01') }, { kind: 'earlier', amount: usd('100.01') }],
    [{ earlier: usd('100.00') }, { kind: 'same-takings' }],
    [{ earlier: usd('-150.00') }, { kind: 'same-takings' }],
    [{ earlier: usd('-150.00'), takings: usd('1225.00') }, { kind: 'takings', thousandths: 1500 }],
    [{ payable: usd('-100.00'), earlier: usd('-150.00') }, { kind: 'earlier', amount: usd('-150.00') }],
    [{ payable: usd('-100.00'), earlier: usd('150.00') }, { kind: 'same-takings' }],
    [{ takings: usd('122.50') }, { kind: 'takings', thousandths: -750 }],
    [{ takings: usd('600.00') }, { kind: 'takings', thousandths: 224 }],
    // A twentieth of 490.00 is 24.50.
    [{ takings: usd('514.49') }, { kind: 'same-takings' }],
    [{ takings: usd('514.50') }, { kind: 'takings', thousandths: 50 }],
    [{ takings: usd('465.51') }, { kind: 'same-takings' }],
    [{ takings: usd('465.50') }, { kind: 'takings', thousandths: -50 }],
    // A guarantee was paid where nothing came in.
    [{ previousTakings: usd('0.00') }, { kind: 'no-takings-before' }],
    [{ takings: usd('0.00'), previousTakings: usd('0.00') }, { kind: 'same-takings' }],
    [{ previousTakings: { amount: '490.00', currency: 'CAD' } }, null],
    [{ previousTakings: null }, null],
    [{ previousPayable: null }, null],
  ] as const)('say why: %j', (more, cause) => {
    expect(causeOf(draft('B1', more))).toEqual(cause);
  });
});
