import { localDate } from '#domain/calendar/local-date';
import { decimal } from '#domain/money/decimal';
import { issuedLines } from '#domain/settlement/differences';
import { settle } from '#domain/settlement/settle';
import type { SettlementInputs } from '#domain/settlement/types';
import type { Terms } from '#domain/terms/types';
import { contradictions } from '#statement/contradictions';
import type { StatementDocument } from '#statement/document';
import { statementFromSettlement } from '#statement/from-settlement';
import type { StatementFacts } from '#statement/settlement-mapping';
import { contentOf } from '#statement/page/content';
import { renderStatement } from '#statement/statement';
import { breakIn, cashless, charge, count, inputs, insideRule, machine, operator, other, period, shares, site, slip, version } from '#tests/support/settlement-inputs';
import { formatAmount } from '#statement/words/format';
import { languageOf } from '#statement/words/languages';
import fc from 'fast-check';

const FACTS: StatementFacts = {
  operator: { name: 'Harbour Lane Amusements', addressLines: [] },
  site: { name: 'The Copper Kettle', addressLines: [], code: 'KETTLE' },
  payee: { name: 'Kettle Hospitality LLC', addressLines: [], partyId: site },
  partyNames: new Map([[operator, 'Harbour Lane'], [site, 'Kettle Hospitality'], [other, 'Table Owner']]),
  games: new Map([['m-A', 'Comet Courier']]),
  statementNumber: '2026-000001',
  issuedOn: localDate('2026-02-02'),
  issuedAt: '2026-02-02T10:00:00Z',
  locale: 'en-GB',
  paper: 'A4',
  earlierStatements: new Map([['period-2025-12-01', { statementNumber: '2025-000311', reason: 'A count came late.' }]]),
  carriedFrom: new Map([['item', 'statement 2025-000311']]),
  payment: 'By bank transfer.',
  evidence: { headSize: 1, headRoot: 'ab'.repeat(32), settlementDigest: 'cd'.repeat(32) },
};

/** The statement, after checking that it adds up and comes to what the settlement says. */
function statementOf(given: SettlementInputs, facts: Partial<StatementFacts> = {}): StatementDocument {
  const result = settle(given, { explain: false });
  const document = statementFromSettlement({ inputs: given, result }, { ...FACTS, ...facts });
  expect(contradictions(document)).toEqual([]);
  const payee = facts.payee?.partyId ?? site;
  expect(document.payableMinor).toBe(result.payables.find(({ party }) => party === payee)?.amountMinor);
  return document;
}

const JANUARY = ['2026-01-01', '2026-02-01'] as const;

describe('statementFromSettlement', () => {
  it('tells coins from notes, and what a machine gave back', () => {
    const document = statementOf(
      inputs(
        period(...JANUARY, {
          machines: [machine('B'), machine('A')],
          counts: [count('A', '2026-01-15', 60_000n, { noteMinor: 2_000n }), count('A', '2026-01-29', 1_000n), count('B', '2026-01-15', 40_000n)],
          refundSlips: [slip('A', '2026-01-15', 500n)],
        }),
      ),
    );
    expect(document.machines).toMatchObject([
      { machineTag: 'A', game: 'Comet Courier', coinMinor: 61_000n, noteMinor: 2_000n, refundsMinor: 500n, netMinor: 62_500n },
      { machineTag: 'B', game: '', coinMinor: 40_000n, noteMinor: 0n, refundsMinor: 0n, netMinor: 40_000n },
    ]);
    expect(document).toMatchObject({ firstDay: '2026-01-01', lastDay: '2026-01-31', dueMinor: 51_750n, carriedForwardMinor: 0n });
  });

  it('shows rate and base of a tax, and the terms of a charge', () => {
    const document = statementOf(
      inputs(
        period(...JANUARY, {
          versions: [version('2020-01-01', { charges: [charge()] })],
          counts: [count('A', '2026-01-29', 100_000n, { days: 28 })],
          taxRules: [insideRule(['4', '0.5'])],
        }),
      ),
    );
    expect(document.waterfalls).toMatchObject([
      {
        netTakingsMinor: 100_000n,
        taxes: [
          { label: 'Part 1', detail: '4\u00a0% of 956.94, the takings without tax', amountMinor: 3_828n },
          { label: 'Part 2', detail: '0.5\u00a0% of 956.94, the takings without tax', amountMinor: 478n },
        ],
        charges: [{ label: 'First call', detail: '75.00 a week', party: 'Harbour Lane', amountMinor: 30_000n }],
        leftMinor: 65_694n,
        shares: [{ party: 'Harbour Lane', percent: '50', isPayee: false }, { party: 'Kettle Hospitality', percent: '50', amountMinor: 32_847n, isPayee: true }],
      },
    ]);
    expect(document.terms).toEqual([expect.stringContaining('Harbour Lane takes the first 75.00 a week.')]);
  });

  it('says what the payee had already, what it paid back, and what is brought forward', () => {
    const document = statementOf(
      inputs(period(...JANUARY, { versions: [version('2020-01-01', { advances: { kind: 'fixed', amountMinor: 4_000n } })], counts: [count('A', '2026-01-15', 50_000n)] }), {
        handedCash: [
          { id: 'h', party: site, collectionId: null, date: localDate('2026-01-15'), amountMinor: 1_000n, reason: 'handed' },
          { id: 'k', party: site, collectionId: null, date: localDate('2026-01-16'), amountMinor: 500n, reason: 'kept' },
          { id: 'o', party: operator, collectionId: null, date: localDate('2026-01-16'), amountMinor: 7n, reason: 'on-account' },
          { id: 'p', party: site, collectionId: null, date: localDate('2026-01-17'), amountMinor: 30n, reason: 'on-account' },
          { id: 'q', party: site, collectionId: null, date: localDate('2026-01-18'), amountMinor: -40n, reason: 'on-account' },
        ],
        advances: [{ id: 'advance', party: site, openMinor: 10_000n }],
        carriedItems: [{ id: 'item', party: site, amountMinor: -250n }],
      }),
    );
    expect(document.payable).toEqual([
      { kind: 'share', amountMinor: 25_000n },
      { kind: 'cash-handed', detail: '15 January 2026', amountMinor: -1_000n },
      { kind: 'cash-kept', detail: '16 January 2026', amountMinor: -500n },
      { kind: 'paid-on-account', detail: '17 January 2026', amountMinor: -30n },
      { kind: 'paid-by-payee', detail: '18 January 2026', amountMinor: 40n },
      { kind: 'advance-repaid', amountMinor: -4_000n },
      { kind: 'brought-forward', detail: 'statement 2025-000311', amountMinor: -250n },
    ]);
    expect(document.advance).toEqual({ openBeforeMinor: 10_000n, repaidMinor: 4_000n, openAfterMinor: 6_000n });
    expect(document.payment).toBe('By bank transfer.');
  });

  it('carries a balance below the smallest payout, and does not say how nothing is paid', () => {
    const payout = { smallestMinor: 10_000n, negative: 'carry', smallestCoinMinor: null } as const;
    const document = statementOf(inputs(period(...JANUARY, { versions: [version('2020-01-01', { payout })], counts: [count('A', '2026-01-15', 1_000n)] })));
    expect(document).toMatchObject({ payableMinor: 500n, carriedForwardMinor: 500n, dueMinor: 0n });
    expect(document.payment).toBeUndefined();
  });

  it('says what is paid in coins', () => {
    const payout = { smallestMinor: 0n, negative: 'carry', smallestCoinMinor: 5n } as const;
    const document = statementOf(inputs(period(...JANUARY, { versions: [version('2020-01-01', { payout })], counts: [count('A', '2026-01-15', 1_006n)] })));
    expect(document).toMatchObject({ dueMinor: 503n, payment: 'By bank transfer. Paid in cash: 5.05, rounded to the smallest coin.' });
  });

  it('keeps pools apart, with the tax of their machines', () => {
    const document = statementOf(
      inputs(
        period(...JANUARY, {
          versions: [version('2020-01-01', { grouping: 'machine' })],
          machines: [machine('A'), machine('B')],
          counts: [count('A', '2026-01-15', 60_000n), count('B', '2026-01-15', 30_000n)],
          taxRules: [insideRule(['7'])],
        }),
      ),
    );
    expect(document.waterfalls.map(({ title, netTakingsMinor, taxes }) => [title, netTakingsMinor, taxes.map(({ detail, amountMinor }) => [detail, amountMinor])])).toEqual([
      ['machine A', 60_000n, [['7\u00a0% inside the takings', 3_925n]]],
      ['machine B', 30_000n, [['7\u00a0% inside the takings', 1_963n]]],
    ]);
  });

  it('keeps terms apart that changed within the period', () => {
    const document = statementOf(
      inputs(
        period(...JANUARY, {
          versions: [version('2020-01-01'), version('2026-01-16', { split: { kind: 'shares', shares: shares([operator, '60'], [site, '40']) } })],
          counts: [count('A', '2026-01-15', 10_000n), count('A', '2026-01-29', 10_000n)],
        }),
      ),
    );
    expect(document.waterfalls.map(({ title, shares: [, ownShare] }) => [title, ownShare?.percent, ownShare?.amountMinor])).toEqual([
      ['terms of 1 January 2020', '50', 5_000n],
      ['terms of 16 January 2026', '40', 4_000n],
    ]);
    expect(document.terms).toHaveLength(2);
  });

  it('puts a guarantee into words, and its money into the balance', () => {
    const guarantee = { id: 'g', kind: 'at-least', party: site, amountMinor: 8_000n, per: 'period', scope: 'agreement', from: 'operator' } as const;
    const document = statementOf(inputs(period(...JANUARY, { versions: [version('2020-01-01', { guarantees: [guarantee] })], counts: [count('A', '2026-01-15', 10_000n)] })));
    expect(document.guarantees).toEqual([
      {
        label: 'Kettle Hospitality gets at least 80.00 per settlement',
        moves: [
          { party: 'Kettle Hospitality', amountMinor: 3_000n, isPayee: true },
          { party: 'Harbour Lane', amountMinor: -3_000n, isPayee: false },
        ],
      },
    ]);
    expect(document.payable).toContainEqual({ kind: 'guarantee', amountMinor: 3_000n });
  });

  it('carries a loss on, and opens the next period with it', () => {
    const loss = period(...JANUARY, { counts: [count('A', '2026-01-15', 1_000n)], refundSlips: [slip('A', '2026-01-15', 3_000n, { paidBy: operator })] });
    expect(statementOf(inputs(loss)).waterfalls).toMatchObject([{ leftMinor: 0n, shares: [], lossCarriedForwardMinor: -2_000n }]);
    const { carriesOut } = settle(inputs(loss)).periods[0] ?? {};
    if (carriesOut === undefined) throw new Error('nothing was settled');
    const next = period('2026-02-01', '2026-03-01', { counts: [count('A', '2026-02-15', 5_000n)] });
    expect(statementOf(inputs(next, { carriesIn: carriesOut })).waterfalls).toMatchObject([{ lossBroughtForwardMinor: -2_000n, leftMinor: 3_000n }]);
  });

  it('settles an earlier period by difference, beside what was issued', () => {
    const december = period('2025-12-01', '2026-01-01', { counts: [count('A', '2025-12-15', 40_000n)], taxRules: [insideRule(['10'])] });
    const issued = settle(inputs(december));
    const late = { ...december, counts: [...december.counts, count('A', '2025-12-29', 4_000n)], refundSlips: [slip('A', '2025-12-29', 300n)] };
    const document = statementOf(
      inputs(period(...JANUARY, { counts: [count('A', '2026-01-15', 20_000n)] }), {
        earlier: [{ inputs: late, issued: issuedLines([issued], 'period-2025-12-01') }],
      }),
    );
    expect(document.earlierPeriods).toMatchObject([
      {
        firstDay: '2025-12-01',
        lastDay: '2025-12-31',
        statementNumber: '2025-000311',
        reason: 'A count came late.',
        lines: [
          { label: 'Net takings', issuedMinor: 40_000n, nowMinor: 43_700n },
          { label: 'Tax: Part 1', issuedMinor: -3_636n, nowMinor: -3_973n },
          { label: 'Share of Harbour Lane', issuedMinor: 18_182n, nowMinor: 19_864n },
          { label: 'Share of Kettle Hospitality', issuedMinor: 18_182n, nowMinor: 19_863n },
        ],
        forPayeeMinor: 1_981n,
      },
    ]);
    expect(document.payable).toContainEqual({ kind: 'earlier-period', amountMinor: 1_981n });
  });

  it('is written for any payee of the agreement', () => {
    const three: Partial<Terms> = {
      parties: [{ id: operator, role: 'operator' }, { id: site, role: 'site' }, { id: other, role: 'other' }],
      split: { kind: 'shares', shares: shares([operator, '50'], [site, '30'], [other, '20']) },
    };
    const given = inputs(period(...JANUARY, { versions: [version('2020-01-01', three)], counts: [count('A', '2026-01-15', 10_000n)] }));
    const document = statementOf(given, { payee: { name: 'Table Owner', addressLines: [], partyId: other } });
    expect(document.dueMinor).toBe(2_000n);
    expect(document.waterfalls[0]?.shares.map(({ isPayee }) => isPayee)).toEqual([false, false, true]);
  });

  it('says when it is asked for somebody who is no payee', () => {
    const given = inputs(period(...JANUARY, { counts: [count('A', '2026-01-15', 10_000n)] }));
    const facts = { ...FACTS, payee: { ...FACTS.payee, partyId: 'stranger' } };
    expect(() => statementFromSettlement({ inputs: given, result: settle(given) }, facts)).toThrow('no payee stranger');
  });

  it('adds up, comes to the payable, and can be printed, whatever is settled', async () => {
    const minor = fc.bigInt({ min: 0n, max: 200_000n });
    const termsChanges = fc.record({
      grouping: fc.constantFrom('site', 'kind', 'machine'),
      loss: fc.constantFrom('carry', 'share'),
      breakIns: fc.record({ borneBy: fc.constantFrom('all', 'operator', 'site') }),
      tax: fc.record({ filedBy: fc.constantFrom('operator', 'site'), borneBy: fc.constantFrom('all', 'operator') }),
      charges: fc.constantFrom([], [charge()], [charge({ scope: 'machine', to: site, rest: 'carry' })], [charge({ amount: { kind: 'percentage', of: 'net-takings', percent: decimal('12.5') } })]),
      guarantees: fc.constantFrom(
        [],
        [{ id: 'g', kind: 'at-least', party: site, amountMinor: 50_000n, per: 'month', scope: 'agreement', from: 'others' } as const],
        [{ id: 'c', kind: 'at-most', party: site, amountMinor: 20_000n, per: 'period', scope: 'agreement', excessTo: operator } as const],
      ),
      advances: fc.constantFrom({ kind: 'none' } as const, { kind: 'percentage', percent: decimal('20') } as const),
    });
    const settlements = fc
      .record({ before: termsChanges, after: termsChanges, amounts: fc.array(minor, { minLength: 14, maxLength: 14 }), handed: minor })
      .map(({ before, after, amounts, handed }): SettlementInputs => {
        const [a = 0n, b = 0n, c = 0n, d = 0n, e = 0n, f = 0n, g = 0n, h = 0n, i = 0n, j = 0n, k = 0n, l = 0n, m = 0n, n = 0n] = amounts;
        const machines = [machine('A'), machine('B', { kind: 'pool-table' }), machine('C')];
        const versions = [version('2020-01-01', before), version('2026-01-16', after)];
        const taxRules = [insideRule(['6.25', '0.5'])];
        const december = period('2025-12-01', '2026-01-01', { versions, machines, taxRules, counts: [count('A', '2025-12-15', a), count('B', '2025-12-15', b)] });
        const issued = settle(inputs(december));
        const known = { ...december, counts: [...december.counts, count('C', '2025-12-29', c)], refundSlips: [slip('B', '2025-12-29', d)] };
        const current = period(...JANUARY, {
          versions, machines, taxRules,
          counts: [count('A', '2026-01-10', e, { noteMinor: f }), count('B', '2026-01-10', g), count('C', '2026-01-20', h), count('A', '2026-01-24', i)],
          refundSlips: [slip('C', '2026-01-20', j, { paidBy: operator }), slip('A', '2026-01-24', k)],
          cashless: [cashless('B', '2026-01-21', l, m)],
          breakIns: [breakIn('C', '2026-01-12', n)],
        });
        return inputs(current, {
          earlier: [{ inputs: known, issued: issuedLines([issued], december.period.id) }],
          handedCash: [{ id: 'h', party: site, collectionId: null, date: localDate('2026-01-10'), amountMinor: handed, reason: 'handed' }],
          advances: [{ id: 'advance', party: site, openMinor: 30_000n }],
        });
      });
    await fc.assert(
      fc.asyncProperty(settlements, async (given) => {
        const document = statementOf(given);
        const due = contentOf(document).sections.at(-1)?.rows.at(-1)?.cells.at(-1);
        expect(due).toBe(formatAmount(document.dueMinor, document.currency, languageOf(document.locale).conventions));
        await renderStatement(document);
      }),
      { numRuns: 80 },
    );
  });
});
