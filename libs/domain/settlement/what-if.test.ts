import fc from 'fast-check';
import { chartOfAccounts } from '#domain/journal/accounts';
import { settlementPostings } from '#domain/journal/settlement-postings';
import { arbitraryEvents, arbitraryTaxRules, arbitraryVersions } from '#tests/support/settlement-arbitrary';
import { charge, count, inputs, machine, operator, period, shares, site, version } from '#tests/support/settlement-inputs';
import { issueAll, periodDays, span, type Agreement } from '#tests/support/settlement-timeline';
import { checkInputs } from './check-inputs';
import { issuedLines } from './differences';
import type { PeriodLine } from './lines';
import { settle } from './settle';
import { totalsOf } from './totals';
import type { PeriodCarries, SettlementInputs, SettlementResult } from './types';
import { earnedOf, rerun, standingPeriods, type IssuedSettlement, type RerunPeriod } from './what-if';

const head = { agreementId: 'agreement', siteId: 'site', currency: 'USD' } as const;

const byKey = (lines: readonly PeriodLine[]): Record<string, bigint> =>
  Object.fromEntries(lines.filter((line) => line.amountMinor !== 0n).map((line) => [line.key, line.amountMinor]));

function periodsOf(answer: ReturnType<typeof rerun>): readonly RerunPeriod[] {
  if (!answer.ok) throw new Error(answer.code);
  return answer.periods;
}

const agreement: fc.Arbitrary<Agreement> = fc.record({ versions: arbitraryVersions(span), taxRules: arbitraryTaxRules(span) });
const eventsWithDelay = arbitraryEvents(span, { maxEvents: 14 }).chain((events) =>
  fc.tuple(fc.constant(events), fc.array(fc.integer({ min: 0, max: periodDays.length }), { minLength: events.length, maxLength: events.length })),
);

test('the same terms change nothing, line by line, with carries, late counts and several versions, from any period on', () => {
  const seen = { carries: 0, late: 0, versions: 0 };
  fc.assert(
    fc.property(agreement, eventsWithDelay, fc.integer({ min: 0, max: periodDays.length - 1 }), (terms, [events, delays], from) => {
      const { inputs: given, results } = issueAll(terms, events.map((event, index) => ({ event, knownIn: delays[index] ?? 0 })));
      // Meters are read where any version of the period asks for them: what is loaded has passed this, random inputs need not.
      fc.pre(given.every((each) => checkInputs(each).length === 0));
      const standing = standingPeriods(pairs(given, results)).filter((each) => each.inputs.period.id !== 'after').slice(from);
      const again = periodsOf(rerun({ ...head, periods: standing, termsOf: (each) => each.terms }));
      expect(again).toHaveLength(periodDays.length - from);
      for (const { lines, standing: { issued } } of again) {
        expect(byKey(lines)).toEqual(byKey(issued));
        expect(earnedOf(lines.filter((line) => line.amountMinor !== 0n), operator)).toEqual(earnedOf(issued.filter((line) => line.amountMinor !== 0n), operator));
      }
      seen.carries += standing.some((each) => hasCarries(each.carriesIn)) ? 1 : 0;
      seen.late += results.some((result) => result.periods.length > 1) ? 1 : 0;
      seen.versions += terms.versions.length > 1 ? 1 : 0;
    }),
    { numRuns: 200 },
  );
  expect(Object.entries(seen).filter(([, times]) => times < 10)).toEqual([]);
});

function pairs(given: readonly SettlementInputs[], results: readonly SettlementResult[]): IssuedSettlement[] {
  return given.flatMap((each, index) => {
    const result = results[index];
    return result === undefined ? [] : [{ inputs: each, result }];
  });
}

const hasCarries = ({ losses, chargeRests, negativeTaxes }: PeriodCarries): boolean => losses.length + chargeRests.length + negativeTaxes.length > 0;

describe('three months under a first call that is carried', () => {
  const months = [
    ['2026-01-01', '2026-02-01', '2026-01-20', 5_000n],
    ['2026-02-01', '2026-03-01', '2026-02-20', 40_000n],
    ['2026-03-01', '2026-04-01', '2026-03-20', 90_000n],
  ] as const;
  const call = charge({ amount: { kind: 'amount', per: 'period', amountMinor: 20_000n }, rest: 'carry' });
  const signed = version('2020-01-01', { charges: [call] });
  const issued: IssuedSettlement[] = [];
  for (const [from, until, day, coinMinor] of months) {
    const before = issued.at(-1)?.result.periods.at(-1)?.carriesOut;
    const given = inputs(period(from, until, { versions: [signed], machines: [machine('1')], counts: [count('1', day, coinMinor)] }), before === undefined ? {} : { carriesIn: before });
    issued.push({ inputs: given, result: settle(given) });
  }

  test('other shares give what the engine gives by hand, and the carries go on through the changed months', () => {
    const changed = { ...signed.terms, charges: [{ ...call, amount: { kind: 'amount', per: 'period', amountMinor: 30_000n } as const }], split: { kind: 'shares', shares: shares([operator, '40'], [site, '60']) } as const };
    const again = periodsOf(rerun({ ...head, periods: standingPeriods(issued), termsOf: () => changed }));
    // By hand, in cents. January: 5,000 all go to the call, 25,000 are carried. February: 25,000 of the rest first, then 15,000
    // of the call, 15,000 are carried. March: 15,000 and 30,000, of the 45,000 left the site has 60 percent.
    expect(again.map(({ lines }) => earnedOf(lines, operator).get(operator)?.chargesMinor)).toEqual([5_000n, 40_000n, 45_000n]);
    expect(again.map(({ lines }) => earnedOf(lines, operator).get(site)?.sharesMinor ?? 0n)).toEqual([0n, 0n, 27_000n]);
    // As issued: 5,000 and 15,000 carried; 15,000 and 20,000, half of 5,000; 20,000, half of 70,000.
    expect(again.map(({ standing }) => earnedOf(standing.issued, operator).get(site)?.sharesMinor ?? 0n)).toEqual([0n, 2_500n, 35_000n]);
    for (const { lines, standing } of again) expect(totalsOf(lines).netTakingsMinor).toBe(totalsOf(standing.issued).netTakingsMinor);
  });

  test('a period that begins the range opens with what it opened with', () => {
    const again = periodsOf(rerun({ ...head, periods: standingPeriods(issued).slice(1), termsOf: (each) => each.terms }));
    expect(again.map(({ lines }) => byKey(lines))).toEqual(issued.slice(1).map(({ result }, index) => byKey(issuedLines([result], again[index]?.inputs.period.id ?? ''))));
  });

  test('terms that need what was never recorded are named with the period', () => {
    const answer = rerun({ ...head, periods: standingPeriods(issued), termsOf: (each) => ({ ...each.terms, basis: 'metered' }) });
    expect(answer).toMatchObject({ ok: false, period: { from: '2026-01-01' }, code: 'metered-amount-missing' });
  });
});

test('tax that the operator bears and stolen cash that a party makes good come out of their own', () => {
  const line = (kind: PeriodLine['kind'], party: string, amountMinor: bigint): PeriodLine => ({ key: `${kind}/${party}`, step: 'tax', kind, about: { party }, amountMinor });
  expect(earnedOf([line('operator-tax', site, 7n), line('break-in', site, 5n), line('share', site, 9n)], operator)).toEqual(
    new Map([
      [operator, { sharesMinor: 0n, chargesMinor: 0n, borneMinor: 7n }],
      [site, { sharesMinor: 9n, chargesMinor: 0n, borneMinor: 5n }],
    ]),
  );
});

/** What the operator has of the lines by the books: income less expenses. */
const profitOf = (lines: readonly PeriodLine[]): bigint =>
  settlementPostings(lines, { agreementId: 'agreement', operator })
    .filter(({ account }) => chartOfAccounts[account.code].type === 'income' || chartOfAccounts[account.code].type === 'expense')
    .reduce((profit, { amountMinor }) => profit - amountMinor, 0n);

const operatorTotal = (lines: readonly PeriodLine[]): bigint => {
  const { sharesMinor, chargesMinor, borneMinor } = earnedOf(lines, operator).get(operator) ?? { sharesMinor: 0n, chargesMinor: 0n, borneMinor: 0n };
  return sharesMinor + chargesMinor - borneMinor;
};

describe('what is shared though no cash came in is the operator’s to bear', () => {
  const against = (signed: ReturnType<typeof version>, changes: Parameters<typeof count>[3], other: Partial<typeof signed.terms>): bigint[] => {
    const given = inputs(period('2026-01-01', '2026-02-01', { versions: [signed], machines: [machine('1')], counts: [count('1', '2026-01-20', 1_000_00n, changes)] }));
    const [again] = periodsOf(rerun({ ...head, periods: standingPeriods([{ inputs: given, result: settle(given) }]), termsOf: (each) => ({ ...each.terms, ...other }) }));
    if (again === undefined) throw new Error('no period');
    expect([profitOf(again.standing.issued), profitOf(again.lines)]).toEqual([operatorTotal(again.standing.issued), operatorTotal(again.lines)]);
    return [operatorTotal(again.standing.issued), operatorTotal(again.lines)];
  };

  test('1,000.00 counted, 1,100.00 by the meters, half each: by the meters 550.00 less the missing 100.00, by the count 500.00', () => {
    expect(against(version('2020-01-01', { basis: 'metered' }), { meteredMinor: 1_100_00n }, { basis: 'counted' })).toEqual([450_00n, 500_00n]);
  });

  test('100 tokens at 1.00 instead of nothing: 50.00 more of the shares, 100.00 of them out of its own pocket', () => {
    const tokens = { tokens: [{ tokenId: 'brass', pieces: 100 }] };
    expect(against(version('2020-01-01', { tokens: [{ tokenId: 'brass', valueMinor: 0n }] }), tokens, { tokens: [{ tokenId: 'brass', valueMinor: 1_00n }] })).toEqual([500_00n, 450_00n]);
  });
});

test('the operator’s total is its profit in the books, whatever is counted, metered, stolen, taxed and shared', () => {
  const seen = { tokens: 0, 'metered-difference': 0, 'break-in': 0, 'operator-tax': 0, charge: 0 };
  fc.assert(
    fc.property(agreement, eventsWithDelay, (terms, [events, delays]) => {
      const { results } = issueAll(terms, events.map((event, index) => ({ event, knownIn: delays[index] ?? 0 })));
      for (const { lines } of results.flatMap((result) => result.periods)) {
        expect(operatorTotal(lines)).toBe(profitOf(lines));
        for (const kind of Object.keys(seen) as (keyof typeof seen)[]) seen[kind] += lines.some((line) => line.kind === kind) ? 1 : 0;
      }
    }),
    { numRuns: 200 },
  );
  expect(Object.entries(seen).filter(([, times]) => times < 5)).toEqual([]);
});
