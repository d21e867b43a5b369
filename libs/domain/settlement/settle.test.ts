import { localDate } from '#domain/calendar/local-date';
import { noCarries } from '#domain/settlement/carries';
import { issuedLines } from '#domain/settlement/differences';
import { settle, versionInForceAtEnd } from '#domain/settlement/settle';
import { charge, count, insideRule, inputs, machine, operator, other, period, shares, site, slip, terms, version } from '#tests/support/settlement-inputs';

function payableOf(result: ReturnType<typeof settle>, party: string) {
  const payable = result.payables.find((candidate) => candidate.party === party);
  if (payable === undefined) throw new Error(`no payable for ${party}`);
  return payable;
}

test('a plain month: takings, refunds, tax inside, equal shares', () => {
  const result = settle(
    inputs(
      period('2026-01-01', '2026-02-01', {
        machines: [machine('A'), machine('B')],
        counts: [count('A', '2026-01-15', 60_000n), count('B', '2026-01-15', 40_000n, { noteMinor: 500n })],
        refundSlips: [slip('B', '2026-01-15', 500n)],
        taxRules: [insideRule(['4', '0.5'])],
      }),
    ),
  );
  expect(result.totals).toMatchObject({
    takingsMinor: 100_500n,
    refundsMinor: 500n,
    netTakingsMinor: 100_000n,
    taxBeforeSplitMinor: 4306n,
    sharesMinor: 95_694n,
  });
  expect(result.taxes.map((tax) => tax.amountMinor)).toEqual([3828n, 478n]);
  expect(result.parties.map((party) => party.sharesMinor)).toEqual([47_847n, 47_847n]);
  expect(payableOf(result, site)).toMatchObject({ sharesMinor: 47_847n, refundsPaidMinor: 500n, amountMinor: 48_347n, outcome: 'due' });
});

test('the entry balances and says where the money went', () => {
  const result = settle(
    inputs(
      period('2026-01-01', '2026-02-01', {
        counts: [count('A', '2026-01-15', 100_000n)],
        refundSlips: [slip('A', '2026-01-15', 1000n)],
        taxRules: [insideRule(['10'])],
      }),
      {
        handedCash: [
          {
            id: 'h1',
            party: site,
            collectionId: 'visit-2026-01-15',
            date: count('A', '2026-01-15', 0n).countedOn,
            amountMinor: 5000n,
            reason: 'handed',
          },
        ],
      },
    ),
  );
  expect(result.postings).toEqual([
    { account: { code: 'takings-to-settle', holderId: 'agreement' }, amountMinor: 100_000n },
    { account: { code: 'payable-to-payee', holderId: site }, amountMinor: -1000n - 45_000n + 5000n },
    { account: { code: 'tax-payable', holderId: 'area' }, amountMinor: -9000n },
    { account: { code: 'operator-share', holderId: 'agreement' }, amountMinor: -45_000n },
    { account: { code: 'cash-handed', holderId: site }, amountMinor: -5000n },
  ]);
  expect(payableOf(result, site).amountMinor).toBe(41_000n);
});

// Terms of the first call as reported in a note on C.I.C. Corp. v. Flappy's (N.J. App. Div. 1999); outputs are arithmetic on them.
test.each([
  ['one week, 175.00', 17_500n, 7, 12_500n, 5000n],
  ['one week, 60.00', 6000n, 7, 6000n, 0n],
  ['four weeks, 500.00', 50_000n, 28, 40_000n, 10_000n],
])('first 75.00 a week to the operator, the rest equally: %s', (_title, takings, days, toOperator, toSite) => {
  const result = settle(
    inputs(
      period('2026-01-01', '2026-02-01', {
        versions: [version('2020-01-01', { charges: [charge()] })],
        counts: [count('A', '2026-01-29', takings, { days })],
      }),
    ),
  );
  const [first, second] = result.parties;
  expect((first?.sharesMinor ?? 0n) + (first?.chargesMinor ?? 0n)).toBe(toOperator);
  expect(second).toMatchObject({ party: site, sharesMinor: toSite });
  expect(first?.party).toBe(operator);
});

test('lines are numbered from 1 without a gap, also over the payout', () => {
  const result = settle(inputs(period('2026-01-01', '2026-02-01', { counts: [count('A', '2026-01-15', 100n)] })));
  const numbers = [...result.periods.flatMap((each) => each.lines), ...result.payoutLines].map((line) => line.number);
  expect(numbers).toEqual(numbers.map((_number, index) => index + 1));
});

test('without explanations the figures are the same', () => {
  const given = inputs(period('2026-01-01', '2026-02-01', { counts: [count('A', '2026-01-15', 12_345n)], taxRules: [insideRule(['7'])] }));
  const explained = settle(given);
  const plain = settle(given, { explain: false });
  expect(plain.periods[0]?.lines).toEqual(explained.periods[0]?.lines.map(({ explanation: _explanation, ...line }) => line));
  expect(plain.payables).toEqual(explained.payables);
  expect(explained.periods[0]?.lines.every((line) => line.explanation !== undefined)).toBe(true);
});

describe('the version whose payout rules hold', () => {
  const chosen = (...startDays: readonly string[]) => versionInForceAtEnd(period('2026-01-01', '2026-02-01', { versions: startDays.map((day) => version(day)) })).startsOn;

  test.each([
    ['is the last that began, wherever it stands', ['2026-01-20', '2025-01-01', '2026-01-10'], '2026-01-20'],
    ['may begin on the last day', ['2025-01-01', '2026-01-31'], '2026-01-31'],
    ['does not begin after it', ['2025-01-01', '2026-02-01'], '2025-01-01'],
    ['is the first listed where all begin later', ['2026-03-01', '2026-02-01'], '2026-03-01'],
  ])('%s', (_title, startDays, expected) => {
    expect(chosen(...startDays)).toBe(expected);
  });

  test('is needed', () => {
    expect(() => chosen()).toThrow('A period needs at least one version of its agreement');
  });
});

describe('parties', () => {
  const three = { parties: [...terms().parties, { id: other, role: 'other' as const }], split: { kind: 'shares' as const, shares: shares([operator, '50'], [site, '30'], [other, '20']) } };
  const listed = (result: ReturnType<typeof settle>) => result.parties.map(({ party, role }) => `${party} ${role}`);

  test('stand as the latest terms list them, then those of earlier terms, then whoever else gets or gave something, by id', () => {
    const turned = version('2026-01-20', { parties: [...terms().parties].reverse() });
    const current = period('2026-01-01', '2026-02-01', {
      versions: [version('2020-01-01', three), turned],
      counts: [count('A', '2026-01-25', 1000n)],
      refundSlips: [slip('A', '2026-01-25', 10n, { paidBy: 'barkeeper' })],
    });
    const handed = { collectionId: 'visit', date: localDate('2026-01-25'), amountMinor: 5n, reason: 'handed' } as const;
    const result = settle(
      inputs(current, {
        carriesIn: { ...noCarries, chargeRests: [{ chargeId: 'rent', title: 'Rent', to: 'landlady', scope: 'agreement', poolKey: null, machineIds: [], since: localDate('2025-12-01'), amountMinor: 7n }] },
        carriedItems: [{ id: 'c', party: 'aunt', amountMinor: 3n }],
        handedCash: [{ ...handed, id: 'h', party: 'cousin' }],
      }),
    );
    expect(listed(result)).toEqual([`${site} site`, `${operator} operator`, `${other} other`, 'aunt other', 'barkeeper other', 'cousin other', 'landlady other']);
    expect(result.payables.map(({ party }) => party)).toEqual([site, other, 'aunt', 'barkeeper', 'cousin', 'landlady']);
  });

  test('whom only issued lines name give back what they had', () => {
    const december = (changes: Parameters<typeof period>[2] = {}) => period('2025-12-01', '2026-01-01', { counts: [count('A', '2025-12-15', 1000n)], ...changes });
    const before = settle(inputs(december({ versions: [version('2020-01-01', three)] })));
    const result = settle(
      inputs(period('2026-01-01', '2026-02-01', { counts: [count('A', '2026-01-15', 100n)] }), {
        earlier: [{ inputs: december(), issued: issuedLines([before], 'period-2025-12-01') }],
      }),
    );
    expect(listed(result)).toEqual([`${operator} operator`, `${site} site`, `${other} other`]);
    expect(result.parties.map(({ sharesMinor }) => sharesMinor)).toEqual([50n, 250n, -200n]);
    expect(result.periods.map(({ kind, period: days }) => `${kind} ${days.from}`)).toEqual(['difference 2025-12-01', 'current 2026-01-01']);
    const numbers = [...result.periods.flatMap((each) => each.lines), ...result.payoutLines].map((line) => line.number);
    expect(numbers).toEqual(numbers.map((_number, index) => index + 1));
  });
});

test('a tax goes by its own name in every period, one that was withdrawn by that of the rule', () => {
  const december = (rules: { taxRules: ReturnType<typeof insideRule>[] }) => period('2025-12-01', '2026-01-01', { counts: [count('A', '2025-12-15', 1100n)], ...rules });
  const before = settle(inputs(december({ taxRules: [insideRule(['10'], { id: 'gone', taxId: 'old-tax' })] })));
  const current = period('2026-01-01', '2026-02-01', { counts: [count('A', '2026-01-15', 1100n)], taxRules: [insideRule(['10'], { id: 'rule-now', taxId: 'tax-now' })] });
  const earlier = [{ inputs: december({ taxRules: [insideRule(['20'], { id: 'rule-then', taxId: 'tax-then' })] }), issued: issuedLines([before], 'period-2025-12-01') }];
  expect(settle(inputs(current, { earlier })).taxes.map(({ taxId, amountMinor }) => [taxId, amountMinor]).sort()).toEqual([['gone', -100n], ['tax-now', 100n], ['tax-then', 183n]]);
});
