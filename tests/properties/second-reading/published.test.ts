// The second reading against figures that tax authorities and statutes print, before it is trusted to judge anything else.
import { dayOf } from './calendar';
import { allocate, exact, round } from './numbers';
import { payablesOf } from './payables';
import { settlePeriod } from './settle';
import type { PeriodInput, TaxMethod, TaxRule, Version } from './terms';

const from = dayOf('2026-06-01');
const until = dayOf('2026-06-29');

const version: Version = {
  name: 'first',
  wording: 'as it stands here',
  from: dayOf('2020-01-01'),
  basis: 'counted',
  grouping: 'site',
  charges: [],
  split: { method: 'shares', shares: [{ party: 'operator', share: '0.5' }, { party: 'site', share: '0.5' }], loss: 'carry' },
  guarantees: [],
};

function taxed(tax: TaxMethod, more: Partial<TaxRule> = {}): TaxRule {
  return { name: 'tax', row: 'row', from: dayOf('2020-01-01'), until: dayOf('2040-01-01'), kinds: 'all', tax, includesBreakIns: false, carryNegative: false, filedBy: 'operator', borneBy: 'all', ...more };
}

function settlementOf(takings: readonly bigint[], more: Partial<PeriodInput> = {}): ReturnType<typeof settlePeriod> {
  const tags = takings.map((_, index) => `M${index + 1}`);
  return settlePeriod({
    ...{ period: { from, until: dayOf('2026-07-01') }, site: 'site', versions: [version], taxRules: [], cashless: [], refunds: [], breakIns: [] },
    machines: tags.map((tag) => ({ tag, kind: tag, placements: [] })),
    counts: tags.map((machine, index) => ({ machine, date: until, visit: 'v', coveredFrom: from, coveredUntil: until, countedMinor: takings[index] ?? 0n, meteredMinor: 0n, tokensMinor: 0n })),
    carriedIn: { losses: [], rests: [], negativeTax: new Map(), chargedDays: [] },
    ...more,
  });
}

const taxAmounts = (settlement: ReturnType<typeof settlePeriod>) => settlement.taxLines.map((line) => line.amountMinor);

describe('tax that authorities print', () => {
  it('takes 4.31 out of 100.00 at 4 % and 0.5 %, 0.48 of it surtax (Florida Dept. of Revenue, Form DR-15N, line A)', () => {
    const inside = taxed({ method: 'inside', components: [{ name: 'state', rate: '0.04' }, { name: 'surtax', rate: '0.005' }] });
    expect(taxAmounts(settlementOf([100_00n], { taxRules: [inside] }))).toEqual([3_83n, 48n]);
    const onePercent = taxed({ method: 'inside', components: [{ name: 'state', rate: '0.04' }, { name: 'surtax', rate: '0.01' }] });
    expect(taxAmounts(settlementOf([1000_00n], { taxRules: [onePercent] }))).toEqual([38_10n, 9_52n]);
  });

  it('divides receipts by one and the rates (Arkansas Gross Receipts Tax Rule GR-16(B))', () => {
    expect(taxAmounts(settlementOf([1000_00n], { taxRules: [taxed({ method: 'inside', components: [{ name: 'all', rate: '0.095' }] })] }))).toEqual([86_76n]);
  });

  it('rounds together or apart (Streamlined Sales and Use Tax Agreement s. 324)', () => {
    const components = [{ name: 'state', rate: '0.04' }, { name: 'local', rate: '0.005' }];
    expect(taxAmounts(settlementOf([10_12n], { taxRules: [taxed({ method: 'on-takings', together: true, components })] }))).toEqual([41n, 5n]);
    expect(taxAmounts(settlementOf([10_12n], { taxRules: [taxed({ method: 'on-takings', together: false, components })] }))).toEqual([40n, 5n]);
    expect([exact('0.4'), exact('0.5'), exact('234.5'), exact('-234.5')].map(round)).toEqual([0n, 1n, 235n, -235n]);
  });

  it('caps 5 % at 30.00 a machine and month (Limburg an der Lahn, device tax)', () => {
    const wholeMonth = { coveredFrom: dayOf('2026-06-01'), coveredUntil: dayOf('2026-07-01') };
    const counts = [400_00n, 600_00n, 900_00n].map((countedMinor, index) => ({ machine: `M${index + 1}`, date: until, visit: 'v', ...wholeMonth, countedMinor, meteredMinor: 0n, tokensMinor: 0n }));
    const capped = taxed({ method: 'on-takings', together: false, components: [{ name: 'device', rate: '0.05' }], capPerMachineMonthMinor: 30_00n });
    const settlement = settlementOf([0n, 0n, 0n], { counts, taxRules: [capped] });
    expect(settlement.taxLines[0]?.parts.map((part) => part.amountMinor)).toEqual([20_00n, 30_00n, 30_00n]);
  });

  it('adds a duty over machine types and carries a negative total (UK Finance Act 2012 Sch. 24)', () => {
    const components = [{ name: 'type 1', rate: '0.05', kinds: ['M1'] }, { name: 'type 2', rate: '0.2', kinds: ['M2'] }, { name: 'type 3', rate: '0.25', kinds: ['M3'] }];
    const duty = taxed({ method: 'on-takings', together: false, components }, { carryNegative: true });
    expect(taxAmounts(settlementOf([1000_00n, 2000_00n, 400_00n], { taxRules: [duty] })).reduce((total, amount) => total + amount, 0n)).toBe(550_00n);
    const negative = settlementOf([1000_00n, -2000_00n, 400_00n], { taxRules: [duty] });
    expect(taxAmounts(negative)).toEqual([0n, 0n, 0n]);
    expect(negative.carriedOut.negativeTax.get('tax')).toBe(-250_00n);
  });
});

describe('charges and splits that are printed', () => {
  it('pays the first 75.00 a week to the operator (note on C.I.C. Corp. v. Flappy\'s, N.J. App. Div. 1999)', () => {
    const firstCall: Version = { ...version, charges: [{ name: 'first call', to: 'operator', scope: 'agreement', what: { amountMinor: 75_00n, per: 'week' }, rest: 'lapses' }] };
    const settlement = settlementOf([500_00n], { versions: [firstCall] });
    expect(settlement.taken.map((taken) => taken.amountMinor)).toEqual([300_00n]);
    expect(settlement.shares.get('site')).toBe(100_00n);
    const poor = settlementOf([299_99n], { versions: [firstCall] });
    expect([poor.taken[0]?.amountMinor, poor.shares.get('site'), poor.lapsed[0]?.amountMinor]).toEqual([299_99n, 0n, 1n]);
  });

  it('reimburses the machine tax before it halves the rest (Texas Occupations Code 2153.205)', () => {
    const reimbursed: Version = { ...version, charges: [{ name: 'tax', to: 'operator', scope: 'agreement', what: { amountMinor: 60_00n, per: 'period' }, rest: 'carried' }] };
    const settlement = settlementOf([460_00n], { versions: [reimbursed] });
    const nothingElse = { cashHanded: [], carriedItems: [], advances: [], repay: 'nothing', smallestPayoutMinor: 0n, carriesNegative: true, smallestCoinMinor: null, final: false } as const;
    expect(payablesOf({ payees: ['site'], credits: settlement.credits, ...nothingElse }).map((payable) => payable.payableMinor)).toEqual([200_00n]);
  });

  it('gives left-over units to the largest fractions (largest remainder, 50 / 30 / 20 over 7)', () => {
    expect(allocate(7n, ['50', '30', '20'].map(exact))).toEqual([4n, 2n, 1n]);
  });
});
