import { localDate } from '#domain/calendar/local-date';
import { decimal } from '#domain/money/decimal';
import { settle } from '#domain/settlement/settle';
import type { HandedCash, SettlementInputs } from '#domain/settlement/types';
import type { Terms } from '#domain/terms/types';
import { count, inputs, operator, other, period, shares, site, version } from '#tests/support/settlement-inputs';
import { linesOf, payableTo } from '#tests/support/settlement-lines';

function january(takings: bigint, terms: Partial<Terms>, changes: Partial<SettlementInputs> = {}) {
  return settle(
    inputs(
      period('2026-01-01', '2026-02-01', {
        versions: [version('2020-01-01', terms)],
        counts: takings === 0n ? [] : [count('A', '2026-01-15', takings)],
      }),
      changes,
    ),
  );
}

const handed = (id: string, amountMinor: bigint): HandedCash => ({
  id,
  party: site,
  collectionId: null,
  date: localDate('2026-01-15'),
  amountMinor,
  reason: 'handed',
});
const payout = (changes: Partial<Terms['payout']>): Partial<Terms> => ({
  payout: { smallestMinor: 0n, negative: 'carry', smallestCoinMinor: null, ...changes },
});

describe('what is paid, carried or owed', () => {
  test('a share is due', () => {
    expect(payableTo(january(1000n, {}), site)).toMatchObject({ amountMinor: 500n, outcome: 'due', cashPayment: null });
  });

  test("the operator is nobody's payee", () => {
    expect(january(1000n, {}).payables.map((payable) => payable.party)).toEqual([site]);
  });

  test.each([
    [999n, 'carried'],
    [1000n, 'due'],
  ] as const)('a smallest payout of 10.00 and a share of %d cents: %s', (share, outcome) => {
    expect(payableTo(january(share * 2n, payout({ smallestMinor: 1000n })), site).outcome).toBe(outcome);
  });

  test('cash already handed is taken off; what is too much is carried or claimed', () => {
    const changes = { handedCash: [handed('h2', 300n), handed('h1', 400n)] };
    const carried = january(1000n, {}, changes);
    expect(payableTo(carried, site)).toMatchObject({ handedCashMinor: 700n, amountMinor: -200n, outcome: 'carried' });
    expect(linesOf(carried, 'payee-handed-cash')).toEqual({ [`payee-handed-cash/${site}/h1`]: -400n, [`payee-handed-cash/${site}/h2`]: -300n });
    expect(payableTo(january(1000n, payout({ negative: 'claim' }), changes), site).outcome).toBe('owed');
  });

  test('items of the last settlement come in, below zero and above', () => {
    const items = [
      { id: 'i1', party: site, amountMinor: -200n },
      { id: 'i2', party: site, amountMinor: 50n },
    ];
    const result = january(1000n, {}, { carriedItems: items });
    expect(payableTo(result, site)).toMatchObject({ carriedInMinor: -150n, amountMinor: 350n });
    // They were posted when they arose.
    expect(result.postings.reduce((sum, posting) => sum + (posting.account.code === 'payable-to-payee' ? posting.amountMinor : 0n), 0n)).toBe(-500n);
  });

  test.each(['final', 'supplementary'] as const)('a %s settlement carries nothing', (kind) => {
    expect(payableTo(january(10n, payout({ smallestMinor: 1000n }), { kind }), site).outcome).toBe('due');
    expect(payableTo(january(10n, {}, { kind, handedCash: [handed('h', 900n)] }), site).outcome).toBe('owed');
  });

  test('a party that only an item names is paid as well', () => {
    expect(payableTo(january(10n, {}, { carriedItems: [{ id: 'i', party: other, amountMinor: 70n }] }), other)).toMatchObject({
      amountMinor: 70n,
      outcome: 'due',
    });
  });
});

describe('advances', () => {
  const advance = (openMinor: bigint, id = 'a') => ({ id, party: site, openMinor });

  test.each<[string, Terms['advances'], bigint, bigint, bigint]>([
    ['none', { kind: 'none' }, 10_000n, 9000n, 0n],
    ['a fixed amount', { kind: 'fixed', amountMinor: 800n }, 10_000n, 9000n, 800n],
    ['a percentage of the share, rounded', { kind: 'percentage', percent: decimal('12.5') }, 10_020n, 9000n, 626n],
    ['paid off in this period', { kind: 'fixed', amountMinor: 800n }, 10_000n, 300n, 300n],
    ['never more than the share', { kind: 'fixed', amountMinor: 800n }, 1000n, 9000n, 500n],
    ['no share, nothing', { kind: 'fixed', amountMinor: 800n }, 0n, 9000n, 0n],
  ])('%s', (_title, advances, takings, openMinor, repaid) => {
    const result = january(takings, { advances }, { advances: [advance(openMinor)] });
    expect(payableTo(result, site)).toMatchObject({
      advancesRepaidMinor: repaid,
      advances: [{ advanceId: 'a', repaidMinor: repaid, openAfterMinor: openMinor - repaid }],
    });
  });

  test('two advances are worked off one after the other', () => {
    const result = january(
      10_000n,
      { advances: { kind: 'fixed', amountMinor: 800n } },
      { advances: [advance(300n, 'first'), advance(900n, 'second')] },
    );
    expect(payableTo(result, site).advances.map(({ repaidMinor }) => repaidMinor)).toEqual([300n, 500n]);
    expect(result.postings).toContainEqual({ account: { code: 'advance-to-payee', holderId: site }, amountMinor: -800n });
  });

  test('a loss that the site shares repays nothing', () => {
    const changes = { advances: [advance(900n)], handedCash: [] };
    const slips = [
      {
        id: 's',
        machineId: 'm-A',
        collectionId: 'v',
        accountingDate: localDate('2026-01-15'),
        date: localDate('2026-01-15'),
        amountMinor: 500n,
        paidBy: operator,
      },
    ];
    const result = settle(
      inputs(
        period('2026-01-01', '2026-02-01', {
          versions: [version('2020-01-01', { loss: 'share', advances: { kind: 'percentage', percent: decimal('50') } })],
          refundSlips: slips,
        }),
        changes,
      ),
    );
    expect(payableTo(result, site)).toMatchObject({ sharesMinor: -250n, advancesRepaidMinor: 0n });
  });
});

test('a payment in coins is rounded, the payable is not; what is carried is not paid', () => {
  const coins = payout({ smallestCoinMinor: 5n, smallestMinor: 300n });
  expect(payableTo(january(1005n, coins), site)).toMatchObject({ amountMinor: 502n, cashPayment: { payMinor: 500n, roundingMinor: -2n } });
  expect(payableTo(january(1006n, coins), site)).toMatchObject({ amountMinor: 503n, cashPayment: { payMinor: 505n, roundingMinor: 2n } });
  expect(payableTo(january(100n, coins), site).cashPayment).toBeNull();
});

test('the payout follows the terms in force on the last day', () => {
  const versions = [
    version('2020-01-01', payout({ smallestMinor: 10_000n })),
    version('2026-01-31', payout({ smallestMinor: 0n })),
    version('2026-02-01', payout({ smallestMinor: 20_000n })),
  ];
  const result = settle(inputs(period('2026-01-01', '2026-02-01', { versions, counts: [count('A', '2026-01-15', 1000n)] })));
  expect(payableTo(result, site).outcome).toBe('due');
});

test('the payable names all its lines', () => {
  const result = january(1000n, {}, { handedCash: [handed('h', 100n)], carriedItems: [{ id: 'i', party: site, amountMinor: 7n }] });
  const payable = result.payoutLines.find((line) => line.kind === 'payable');
  expect(payable?.explanation?.inputs).toEqual(
    [`payee-share/${site}`, `payee-handed-cash/${site}/h`, `payee-carried-in/${site}/i`].map((key) => ({ of: 'line', key })),
  );
  expect(payable?.amountMinor).toBe(407n);
});

describe('several payees', () => {
  const parties: Partial<Terms> = {
    parties: [
      { id: operator, role: 'operator' },
      { id: site, role: 'site' },
      { id: other, role: 'other' },
    ],
    split: { kind: 'shares', shares: shares([operator, '50'], [site, '30'], [other, '20']) },
    advances: { kind: 'fixed', amountMinor: 1000n },
  };
  const changes: Partial<SettlementInputs> = {
    handedCash: [handed('h2', 300n), { ...handed('h9', 70n), party: other }, handed('h1', 400n)],
    carriedItems: [
      { id: 'c2', party: site, amountMinor: -50n },
      { id: 'c9', party: other, amountMinor: 8n },
      { id: 'c1', party: site, amountMinor: 20n },
    ],
    advances: [
      { id: 'a1', party: site, openMinor: 600n },
      { id: 'a9', party: other, openMinor: 5000n },
      { id: 'a2', party: site, openMinor: 900n },
    ],
  };
  const result = january(10_000n, parties, changes);

  test('each has its own cash, carried items and advances', () => {
    expect(payableTo(result, site)).toMatchObject({ sharesMinor: 3000n, handedCashMinor: 700n, carriedInMinor: -30n, advancesRepaidMinor: 1000n, amountMinor: 1270n });
    expect(payableTo(result, other)).toMatchObject({ sharesMinor: 2000n, handedCashMinor: 70n, carriedInMinor: 8n, advancesRepaidMinor: 1000n, amountMinor: 938n });
    expect(payableTo(result, site).advances).toEqual([
      { advanceId: 'a1', repaidMinor: 600n, openAfterMinor: 0n },
      { advanceId: 'a2', repaidMinor: 400n, openAfterMinor: 500n },
    ]);
  });

  test('a share that is smaller than what is asked is used up over the advances', () => {
    const little = january(2000n, { ...parties, advances: { kind: 'fixed', amountMinor: 5000n } }, changes);
    expect(payableTo(little, site).advances.map(({ repaidMinor }) => repaidMinor)).toEqual([600n, 0n]);
    const less = january(5000n, { ...parties, advances: { kind: 'fixed', amountMinor: 5000n } }, changes);
    expect(payableTo(less, site).advances.map(({ repaidMinor }) => repaidMinor)).toEqual([600n, 900n]);
  });

  test('the lines stand by id, in whatever order the items came, and say where they come from', () => {
    const turned = january(10_000n, parties, { ...changes, handedCash: [...(changes.handedCash ?? [])].reverse(), carriedItems: [...(changes.carriedItems ?? [])].reverse() });
    expect(turned.payoutLines).toEqual(result.payoutLines);
    const said = result.payoutLines
      .filter((line) => ['payee-handed-cash', 'payee-carried-in', 'payee-advance'].includes(line.kind) && line.about.party === site)
      .map(({ amountMinor, step, about, explanation }) => ({ amountMinor, step, about, formula: explanation?.formula, inputs: explanation?.inputs, rule: explanation?.rule }));
    const terms = { of: 'terms', versionId: 'version-2020-01-01', pointer: '/advances' };
    const share = { of: 'line', key: `payee-share/${site}` };
    const step = 'payout';
    expect(said).toEqual([
      { step, about: { party: site, handedCashId: 'h1' }, amountMinor: -400n, formula: 'handed-at-collection', inputs: [{ of: 'handed-cash', id: 'h1' }], rule: null },
      { step, about: { party: site, handedCashId: 'h2' }, amountMinor: -300n, formula: 'handed-at-collection', inputs: [{ of: 'handed-cash', id: 'h2' }], rule: null },
      { step, about: { party: site, advanceId: 'a1' }, amountMinor: -600n, formula: 'advance-recouped', inputs: [{ of: 'advance', id: 'a1' }, share], rule: terms },
      { step, about: { party: site, advanceId: 'a2' }, amountMinor: -400n, formula: 'advance-recouped', inputs: [{ of: 'advance', id: 'a2' }, share], rule: terms },
      { step, about: { party: site, carriedItemId: 'c1' }, amountMinor: 20n, formula: 'carried-from-before', inputs: [{ of: 'carried-item', id: 'c1' }], rule: null },
      { step, about: { party: site, carriedItemId: 'c2' }, amountMinor: -50n, formula: 'carried-from-before', inputs: [{ of: 'carried-item', id: 'c2' }], rule: null },
    ]);
  });
});

test('a payable of nothing is neither paid nor carried', () => {
  expect(payableTo(january(0n, payout({ negative: 'claim' })), site).outcome).toBe('nothing');
});
