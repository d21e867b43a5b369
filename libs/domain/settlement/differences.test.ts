import { localDate } from '#domain/calendar/local-date';
import { issuedLines } from '#domain/settlement/differences';
import { settle } from '#domain/settlement/settle';
import type { PeriodInputs, SettlementInputs } from '#domain/settlement/types';
import { charge, count, inputs, insideRule, operator, period, shares, site, slip, version } from '#tests/support/settlement-inputs';
import { carriesOf, linesOf, payableTo, sharesOf } from '#tests/support/settlement-lines';

const january = (changes: Partial<PeriodInputs> = {}) =>
  period('2026-01-01', '2026-02-01', { counts: [count('A', '2026-01-15', 1000n)], ...changes });
const february = (changes: Partial<PeriodInputs> = {}) =>
  period('2026-02-01', '2026-03-01', { counts: [count('A', '2026-02-12', 2000n)], ...changes });
const march = (changes: Partial<PeriodInputs> = {}) => period('2026-03-01', '2026-04-01', { counts: [count('A', '2026-03-12', 4000n)], ...changes });

/** Settles a period together with changed January. */
function withJanuaryChanged(current: PeriodInputs, changed: PeriodInputs, issued = settle(inputs(january())), more: Partial<SettlementInputs> = {}) {
  return settle(inputs(current, { earlier: [{ inputs: changed, issued: issuedLines([issued], 'period-2026-01-01') }], ...more }));
}

test('a late count is settled by difference, in a block of its own', () => {
  const result = withJanuaryChanged(february(), january({ counts: [count('A', '2026-01-15', 1000n), count('A', '2026-01-22', 301n)] }));
  expect(result.periods.map(({ period: { id }, kind }) => [id, kind])).toEqual([
    ['period-2026-01-01', 'difference'],
    ['period-2026-02-01', 'current'],
  ]);
  const [block] = result.periods;
  expect(block?.totals).toMatchObject({ takingsMinor: 301n, sharesMinor: 301n });
  const cash = block?.lines.find((line) => line.kind === 'cash');
  expect(cash).toMatchObject({ number: 1, amountMinor: 301n, change: { issuedMinor: 1000n, nowMinor: 1301n } });
  expect(cash?.explanation?.inputs).toHaveLength(2);
  // 1301 is 651 and 650; 500 and 500 were issued; 1000 and 1000 are February's.
  expect(sharesOf(result)).toEqual({ [operator]: 1151n, [site]: 1150n });
  expect(payableTo(result, site).amountMinor).toBe(1150n);
});

test('what is as it was leaves no line', () => {
  const result = withJanuaryChanged(february(), january());
  expect(result.periods[0]?.lines).toEqual([]);
  expect(sharesOf(result)).toEqual({ [operator]: 1000n, [site]: 1000n });
});

test('what is no longer there is taken back, and says so', () => {
  const result = withJanuaryChanged(february(), january({ counts: [] }));
  const lines = result.periods[0]?.lines ?? [];
  expect(lines.filter((line) => line.kind === 'share').map((line) => line.amountMinor)).toEqual([-500n, -500n]);
  expect(lines.every((line) => line.explanation?.formula === 'no-longer-there')).toBe(true);
  expect(
    settle(
      inputs(february(), { earlier: [{ inputs: january({ counts: [] }), issued: issuedLines([settle(inputs(january()))], 'period-2026-01-01') }] }),
      { explain: false },
    ).periods[0]?.lines.some((line) => 'explanation' in line),
  ).toBe(false);
});

test('rates and terms corrected backwards are settled by difference', () => {
  const taxed = withJanuaryChanged(february(), january({ taxRules: [insideRule(['25'])] }));
  expect(taxed.totals).toMatchObject({ taxBeforeSplitMinor: 200n, sharesMinor: 1800n });
  expect(taxed.taxes).toMatchObject([{ ruleId: 'rule-1', taxId: 'sales-tax', amountMinor: 200n }]);
  const signedLate = withJanuaryChanged(
    february(),
    january({ versions: [version('2020-01-01', { split: { kind: 'shares', shares: shares([operator, '40'], [site, '60']) } })] }),
  );
  expect(sharesOf(signedLate)).toEqual({ [operator]: 900n, [site]: 1100n });
});

test('who files a tax may be corrected: the line moves from one to the other', () => {
  const taxRules = [insideRule(['25'])];
  const issued = settle(inputs(january({ taxRules })));
  const bySite = [version('2020-01-01', { tax: { filedBy: 'site', borneBy: 'as-the-rule-says' } })];
  const result = withJanuaryChanged(february(), january({ taxRules, versions: bySite }), issued);
  expect(linesOf(result, 'tax')).toEqual({ 'tax/rule-1/part-1/1/site/all': 200n, 'tax/rule-1/part-1/1/operator/all': -200n });
  expect(payableTo(result, site).taxFiledMinor).toBe(200n);
  expect(result.postings).toContainEqual({ account: { code: 'tax-payable', holderId: 'area' }, amountMinor: 200n });
});

test('the change runs through every later issued period', () => {
  const losing = january({ refundSlips: [slip('A', '2026-01-15', 1600n)] });
  const first = settle(inputs(losing));
  const second = settle(inputs(february(), { carriesIn: carriesOf(first) }));
  expect(sharesOf(second)).toEqual({ [operator]: 700n, [site]: 700n });
  // The slip was of 1100: January's loss is 100, not 600, and February has 500 more.
  const corrected = january({ refundSlips: [slip('A', '2026-01-15', 1100n)] });
  const third = settle(
    inputs(march(), {
      earlier: [
        { inputs: corrected, issued: issuedLines([first, second], 'period-2026-01-01') },
        { inputs: february(), issued: issuedLines([first, second], 'period-2026-02-01') },
      ],
    }),
  );
  expect(third.periods.map(({ totals }) => [totals.lossInMinor, totals.lossOutMinor, totals.sharesMinor])).toEqual([
    [0n, 500n, 0n],
    [500n, 0n, 500n],
    [0n, 0n, 4000n],
  ]);
  expect(payableTo(third, site)).toMatchObject({ sharesMinor: 2250n, refundsPaidMinor: -500n, amountMinor: 1750n });
});

test('a second change is measured against everything issued so far', () => {
  const issued = settle(inputs(january()));
  const once = january({ counts: [count('A', '2026-01-15', 1200n)] });
  const second = withJanuaryChanged(february(), once, issued);
  const third = settle(
    inputs(march(), {
      earlier: [
        { inputs: january({ counts: [count('A', '2026-01-15', 1100n)] }), issued: issuedLines([issued, second], 'period-2026-01-01') },
        { inputs: february(), issued: issuedLines([issued, second], 'period-2026-02-01') },
      ],
    }),
  );
  expect(third.periods.map(({ totals }) => totals.takingsMinor)).toEqual([-100n, 0n, 4000n]);
});

test('an amount per period that a late count brings up is charged late', () => {
  const versions = [version('2020-01-01', { charges: [charge({ amount: { kind: 'amount', per: 'period', amountMinor: 100n } })] })];
  const issued = settle(inputs(january({ versions, counts: [] })));
  expect(issued.totals.chargesMinor).toBe(0n);
  expect(withJanuaryChanged(february({ versions }), january({ versions }), issued).totals.chargesMinor).toBe(200n);
});

test('advances, carried items and payout run once, in the settlement of today', () => {
  const terms = [version('2020-01-01', { advances: { kind: 'fixed', amountMinor: 300n } })];
  const issued = settle(inputs(january({ versions: terms })));
  const result = withJanuaryChanged(february({ versions: terms }), january({ versions: terms, counts: [count('A', '2026-01-15', 1200n)] }), issued, {
    advances: [{ id: 'a', party: site, openMinor: 5000n }],
  });
  expect(payableTo(result, site)).toMatchObject({ sharesMinor: 1100n, advancesRepaidMinor: 300n, amountMinor: 800n });
});

test('a supplementary settlement pays what turns up after the end', () => {
  const after = period('2026-02-01', '2026-02-02');
  const result = withJanuaryChanged(after, january({ counts: [count('A', '2026-01-15', 1004n)] }), undefined, { kind: 'supplementary' });
  expect(payableTo(result, site)).toMatchObject({ amountMinor: 2n, outcome: 'due' });
  expect(result.periods[1]?.lines).toEqual([]);
});

test('a party that only issued lines know is settled to the end', () => {
  const third = [
    { id: operator, role: 'operator' },
    { id: site, role: 'site' },
    { id: 'third', role: 'other' },
  ] as const;
  const versions = [
    version('2020-01-01', { parties: third, split: { kind: 'shares', shares: shares([operator, '50'], [site, '25'], ['third', '25']) } }),
  ];
  const issued = settle(inputs(january({ versions })));
  const result = withJanuaryChanged(february(), january(), issued);
  expect(payableTo(result, 'third').amountMinor).toBe(-250n);
  expect(payableTo(result, site).amountMinor).toBe(1250n);
});

test('a machine moved on one day is settled at each site for its own days', () => {
  // Removal count on 15 January at the old site covers that day too; the new site's first count begins with the 16th.
  const terms = [
    version('2020-01-01', { charges: [charge({ amount: { kind: 'amount', per: 'machine-week', amountMinor: 700n }, scope: 'machine' })] }),
  ];
  const old = settle(
    inputs(
      january({
        versions: terms,
        counts: [count('A', '2026-01-15', 9000n, { coveredFrom: localDate('2026-01-01'), coveredUntil: localDate('2026-01-16') })],
      }),
    ),
  );
  const next = settle(
    inputs(
      january({
        versions: terms,
        counts: [
          count('A', '2026-01-30', 9000n, { placementId: 'p-A2', coveredFrom: localDate('2026-01-16'), coveredUntil: localDate('2026-01-30') }),
        ],
      }),
      { agreementId: 'other' },
    ),
  );
  expect([old.totals.chargesMinor, next.totals.chargesMinor]).toEqual([1500n, 1400n]);
});
