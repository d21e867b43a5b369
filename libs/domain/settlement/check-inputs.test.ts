import { localDate } from '#domain/calendar/local-date';
import { checkInputs } from '#domain/settlement/check-inputs';
import { noCarries, type PeriodInputs, type SettlementInputs } from '#domain/settlement/types';
import { breakIn, cashless, count, inputs, insideRule, machine, period, site, slip, version } from '#tests/support/settlement-inputs';

const january = (changes: Partial<Omit<PeriodInputs, 'period'>> = {}) => period('2026-01-01', '2026-02-01', changes);

function problemsOf(given: SettlementInputs): string[] {
  return checkInputs(given).map(({ pointer, code }) => `${pointer} ${code}`);
}

test('sound inputs have no problems', () => {
  const items = {
    counts: [count('A', '2026-01-15', 1n)],
    refundSlips: [slip('A', '2026-01-15', 1n)],
    cashless: [cashless('A', '2026-01-15', 1n)],
    breakIns: [breakIn('A', '2026-01-15', 1n)],
    taxRules: [insideRule(['4'])],
  };
  expect(problemsOf(inputs(january(items), { earlier: [{ inputs: period('2025-12-01', '2026-01-01'), issued: [] }] }))).toEqual([]);
});

const onDay = localDate('2026-01-15');

test.each<[string, SettlementInputs, string[]]>([
  ['a period that ends before it starts', inputs(period('2026-02-01', '2026-01-01')), ['/current/period/until period-ends-before-it-starts']],
  [
    'an earlier period that is later',
    inputs(january(), { earlier: [{ inputs: period('2026-01-31', '2026-02-28'), issued: [] }] }),
    ['/current/period/from periods-out-of-order'],
  ],
  ['no terms', inputs(january({ versions: [] })), ['/current/versions no-version']],
  [
    'two versions from one day',
    inputs(january({ versions: [version('2026-01-01'), { ...version('2026-01-01'), id: 'x' }] })),
    ['/current/versions/1/startsOn two-versions-from-one-day'],
  ],
  [
    'terms in another currency',
    inputs(january({ versions: [version('2026-01-01', { currency: 'EUR' })] })),
    ['/current/versions/0/terms/currency currency-not-of-the-site'],
  ],
  [
    'a tax rule without an end before its start',
    inputs(january({ taxRules: [insideRule(['4'], { until: localDate('2019-01-01') })] })),
    ['/current/taxRules/0/until ends-before-it-starts'],
  ],
  ['a machine twice', inputs(january({ machines: [machine('A'), machine('A')] })), ['/current/machines/1/id item-listed-twice']],
  ['a count of an unknown machine', inputs(january({ counts: [count('Z', '2026-01-15', 1n)] })), ['/current/counts/0/machineId machine-unknown']],
  [
    'a count booked to another month',
    inputs(january({ counts: [count('A', '2026-02-01', 1n)] })),
    ['/current/counts/0/accountingDate accounting-date-outside-period'],
  ],
  [
    'a count that covers less than nothing',
    inputs(january({ counts: [count('A', '2026-01-15', 1n, { coveredFrom: localDate('2026-01-16') })] })),
    ['/current/counts/0/coveredUntil coverage-ends-before-it-starts'],
  ],
  ['a negative count', inputs(january({ counts: [count('A', '2026-01-15', -1n)] })), ['/current/counts/0/coinMinor amount-out-of-range']],
  [
    'notes beyond any box',
    inputs(january({ counts: [count('A', '2026-01-15', 1n, { noteMinor: 10n ** 15n + 1n })] })),
    ['/current/counts/0/noteMinor amount-out-of-range'],
  ],
  [
    'meters beyond any box, whether more went in or was paid back',
    inputs(january({ counts: [count('A', '2026-01-15', 1n, { meteredMinor: -(10n ** 15n) - 1n }), count('A', '2026-01-16', 1n, { meteredMinor: 10n ** 15n + 1n })] })),
    ['/current/counts/0/meteredMinor amount-out-of-range', '/current/counts/1/meteredMinor amount-out-of-range'],
  ],
  [
    'no meter where the meter counts',
    inputs(january({ versions: [version('2020-01-01', { basis: 'metered' })], counts: [count('A', '2026-01-15', 1n)] })),
    ['/current/counts/0/meteredMinor metered-amount-missing'],
  ],
  [
    'half a token',
    inputs(january({ counts: [count('A', '2026-01-15', 1n, { tokens: [{ tokenId: 'brass', pieces: 0.5 }] })] })),
    ['/current/counts/0/tokens/0/pieces pieces-out-of-range'],
  ],
  [
    'a count twice',
    inputs(january({ counts: [count('A', '2026-01-15', 1n), count('A', '2026-01-15', 1n)] })),
    ['/current/counts/1/id item-listed-twice'],
  ],
  ['a negative slip', inputs(january({ refundSlips: [slip('A', '2026-01-15', -1n)] })), ['/current/refundSlips/0/amountMinor amount-out-of-range']],
  [
    'negative card takings',
    inputs(january({ cashless: [cashless('A', '2026-01-15', -1n, -1n)] })),
    ['/current/cashless/0/grossMinor amount-out-of-range', '/current/cashless/0/refundedMinor amount-out-of-range'],
  ],
  [
    'a break-in that brought money',
    inputs(january({ breakIns: [breakIn('A', '2026-01-15', -1n)] })),
    ['/current/breakIns/0/amountMinor amount-out-of-range'],
  ],
  [
    'a recoup for a closed advance',
    inputs(january(), { advances: [{ id: 'a', party: site, openMinor: 0n }] }),
    ['/advances/0/openMinor advance-closed'],
  ],
  [
    'cash handed twice',
    inputs(january(), {
      handedCash: [0, 1].map(() => ({ id: 'h', party: site, collectionId: null, date: onDay, amountMinor: 1n, reason: 'handed' })),
    }),
    ['/handedCash/1/id item-listed-twice'],
  ],
  [
    'carries of the wrong sign',
    inputs(january(), {
      carriesIn: {
        ...noCarries,
        losses: [{ poolKey: 'site', machineIds: [], amountMinor: 1n }],
        negativeTaxes: [{ taxId: 't', amountMinor: 0n }],
        chargeRests: [{ chargeId: 'c', title: 'C', to: site, scope: 'agreement', poolKey: null, machineIds: [], since: onDay, amountMinor: -1n }],
      },
    }),
    [
      '/carriesIn/losses/0/amountMinor loss-above-zero',
      '/carriesIn/negativeTaxes/0/amountMinor loss-above-zero',
      '/carriesIn/chargeRests/0/amountMinor amount-out-of-range',
    ],
  ],
])('%s is named', (_title, given, expected) => {
  expect(problemsOf(given)).toEqual(expected);
});

const wrong = { accountingDate: localDate('2026-02-01'), machineId: 'm-Z' };
const item = (id: string) => ({ id, party: site, collectionId: null, date: onDay, amountMinor: 1n, reason: 'handed' as const, openMinor: 1n });

test.each<[string, SettlementInputs, string[]]>([
  ['a period of no day', inputs(period('2026-01-01', '2026-01-01')), ['/current/period/until period-ends-before-it-starts']],
  [
    'a mistake in an earlier period',
    inputs(january(), { earlier: [{ inputs: period('2025-12-01', '2026-01-01', { versions: [] }), issued: [] }] }),
    ['/earlier/0/inputs/versions no-version'],
  ],
  [
    'slips, card takings and break-ins of another machine or month',
    inputs(
      january({
        refundSlips: [slip('A', '2026-01-15', 1n, wrong)],
        cashless: [{ ...cashless('A', '2026-01-15', 1n), ...wrong }],
        breakIns: [{ ...breakIn('A', '2025-12-31', 1n), machineId: 'm-A' }],
      }),
    ),
    [
      '/current/refundSlips/0/machineId machine-unknown',
      '/current/refundSlips/0/accountingDate accounting-date-outside-period',
      '/current/cashless/0/machineId machine-unknown',
      '/current/cashless/0/accountingDate accounting-date-outside-period',
      '/current/breakIns/0/accountingDate accounting-date-outside-period',
    ],
  ],
  [
    'what is listed twice',
    inputs(
      january({
        refundSlips: [slip('A', '2026-01-15', 1n), slip('A', '2026-01-15', 1n)],
        cashless: [cashless('A', '2026-01-15', 1n), cashless('A', '2026-01-15', 1n)],
        breakIns: [breakIn('A', '2026-01-15', 1n), breakIn('A', '2026-01-15', 1n)],
      }),
      { advances: [item('a'), item('a')], carriedItems: [item('c'), item('c')] },
    ),
    [
      '/current/refundSlips/1/id item-listed-twice',
      '/current/cashless/1/id item-listed-twice',
      '/current/breakIns/1/id item-listed-twice',
      '/advances/1/id item-listed-twice',
      '/carriedItems/1/id item-listed-twice',
    ],
  ],
  [
    'fewer tokens than none',
    inputs(january({ counts: [count('A', '2026-01-15', 1n, { tokens: [{ tokenId: 'brass', pieces: -1 }] })] })),
    ['/current/counts/0/tokens/0/pieces pieces-out-of-range'],
  ],
  [
    'no meter from the day on which the meter counts',
    inputs(
      january({
        versions: [version('2020-01-01'), version('2026-01-15', { basis: 'metered' }), version('2026-01-20')],
        counts: [count('A', '2026-01-14', 1n), count('A', '2026-01-15', 1n), count('A', '2026-01-20', 1n)],
      }),
    ),
    ['/current/counts/1/meteredMinor metered-amount-missing'],
  ],
  ['no meter before the first version', inputs(january({ versions: [version('2026-01-20', { basis: 'metered' })], counts: [count('A', '2026-01-14', 1n)] })), [
    '/current/counts/0/meteredMinor metered-amount-missing',
  ]],
  ['an amount beyond any box', inputs(january({ counts: [count('A', '2026-01-15', 10n ** 15n + 1n)] })), ['/current/counts/0/coinMinor amount-out-of-range']],
  ['a loss of nothing', inputs(january(), { carriesIn: { ...noCarries, losses: [{ poolKey: 'site', machineIds: [], amountMinor: 0n }] } }), [
    '/carriesIn/losses/0/amountMinor loss-above-zero',
  ]],
])('%s is named as well', (_title, given, expected) => {
  expect(problemsOf(given)).toEqual(expected);
});

test('what stands at the edge is sound', () => {
  const items = {
    versions: [version('2020-01-01'), version('2026-01-20')],
    counts: [count('A', '2026-01-01', 10n ** 15n, { coveredFrom: localDate('2026-01-01'), tokens: [{ tokenId: 'brass', pieces: 0 }] }), count('A', '2026-01-31', 0n)],
  };
  const carriesIn = { ...noCarries, losses: [{ poolKey: 'site', machineIds: [], amountMinor: -1n }], negativeTaxes: [{ taxId: 't', amountMinor: -1n }] };
  expect(problemsOf(inputs(january(items), { advances: [item('a'), item('b')], carriedItems: [item('c')], carriesIn }))).toEqual([]);
});
