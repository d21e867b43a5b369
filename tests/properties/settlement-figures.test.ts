import fc from 'fast-check';
import { decodeInputs, encodeInputs, encodeResult } from '#contracts/settlement-document';
import { canonicalJson } from '#domain/evidence/canonical-json';
import { settle } from '#domain/settlement/settle';
import type { PeriodResult, SettlementInputs, SettlementResult } from '#domain/settlement/types';
import { arbitraryEvents, arbitraryTaxRules, arbitraryVersions } from '#tests/support/settlement-arbitrary';
import { issueAll, span, type Agreement } from '#tests/support/settlement-timeline';

/** Cases per property; set SETTLEMENT_CASES higher for a long run. The seed is printed when a property fails. */
const numRuns = Number(process.env['SETTLEMENT_CASES'] ?? 200);

const agreement: fc.Arbitrary<Agreement> = fc.record({ versions: arbitraryVersions(span), taxRules: arbitraryTaxRules(span) });
const events = arbitraryEvents(span, { maxEvents: 14 });
/** Every settlement of a timeline in which everything is known in time. */
const timeline = fc.tuple(agreement, events).map(([terms, list]) =>
  issueAll(
    terms,
    list.map((event) => ({ event, knownIn: 0 })),
  ),
);

function bytes(result: SettlementResult): string {
  return canonicalJson(encodeResult(result));
}

function sum(lines: readonly { readonly amountMinor: bigint }[]): bigint {
  return lines.reduce((total, line) => total + line.amountMinor, 0n);
}

function expectPoolsToBalance({ lines }: PeriodResult): void {
  const openings = lines.filter((line) => line.kind === 'pool-opening');
  for (const opening of openings) {
    const own = (kind: string) =>
      sum(lines.filter((line) => line.kind === kind && line.about.poolKey === opening.about.poolKey && line.about.group === opening.about.group));
    expect(opening.amountMinor).toBe(own('charge') + own('share') + own('loss-out'));
  }
  const taken =
    sum(lines.filter((line) => line.kind === 'net-takings')) +
    sum(lines.filter((line) => line.kind === 'loss-in')) -
    sum(lines.filter((line) => line.kind === 'tax'));
  expect(sum(openings)).toBe(taken);
}

test('nothing is lost and nothing appears: per pool, per period and in total', () => {
  fc.assert(
    fc.property(timeline, ({ results }) => {
      for (const result of results) {
        result.periods.forEach(expectPoolsToBalance);
        for (const totals of [result.totals, ...result.periods.map((period) => period.totals)]) {
          expect(totals.netTakingsMinor + totals.lossInMinor).toBe(
            totals.taxBeforeSplitMinor + totals.chargesMinor + totals.sharesMinor + totals.lossOutMinor,
          );
        }
        expect(sum(result.postings)).toBe(0n);
        expect(sum(result.parties.map((party) => ({ amountMinor: party.sharesMinor })))).toBe(result.totals.sharesMinor);
        expect(sum(result.parties.map((party) => ({ amountMinor: party.chargesMinor })))).toBe(result.totals.chargesMinor);
      }
    }),
    { numRuns },
  );
});

test('every line has a key of its own and a number, and no charge takes more than there is', () => {
  fc.assert(
    fc.property(timeline, ({ results }) => {
      for (const result of results) {
        const lines = [...result.periods.flatMap((period) => period.lines), ...result.payoutLines];
        expect(lines.map((line) => line.number)).toEqual(lines.map((_line, index) => index + 1));
        for (const period of result.periods) expect(new Set(period.lines.map((line) => line.key)).size).toBe(period.lines.length);
        for (const line of lines) if (line.kind === 'charge') expect(line.amountMinor).toBeGreaterThan(0n);
        for (const line of lines) if (line.kind === 'loss-out' || line.kind === 'loss-in') expect(line.amountMinor).toBeLessThan(0n);
        for (const period of result.periods)
          for (const line of period.lines.filter((each) => each.kind === 'pool-left')) {
            const opening = period.lines.find(
              (each) => each.kind === 'pool-opening' && each.about.poolKey === line.about.poolKey && each.about.group === line.about.group,
            );
            if ((opening?.amountMinor ?? 0n) >= 0n) expect(line.amountMinor).toBeGreaterThanOrEqual(0n);
            else expect(line.amountMinor).toBe(opening?.amountMinor);
          }
      }
    }),
    { numRuns },
  );
});

test('guarantees only move money, and tax never comes out below zero', () => {
  fc.assert(
    fc.property(timeline, ({ results }) => {
      for (const result of results) {
        for (const { lines } of result.periods) {
          expect(sum(lines.filter((line) => line.kind === 'guarantee'))).toBe(0n);
          const rules = new Set(lines.flatMap((line) => line.about.taxRuleId ?? []));
          for (const rule of rules) {
            const tax = lines.filter((line) => (line.kind === 'tax' || line.kind === 'operator-tax') && line.about.taxRuleId === rule);
            expect(sum(tax)).toBeGreaterThanOrEqual(0n);
            expect(sum(lines.filter((line) => line.kind === 'tax-of-machine' && line.about.taxRuleId === rule))).toBe(sum(tax));
          }
        }
      }
    }),
    { numRuns },
  );
});

/** Turns every list whose order is an accident around. */
function shuffled(given: SettlementInputs): SettlementInputs {
  const { current } = given;
  return {
    ...given,
    current: {
      ...current,
      counts: [...current.counts].reverse(),
      machines: [...current.machines].reverse(),
      refundSlips: [...current.refundSlips].reverse(),
      cashless: [...current.cashless].reverse(),
      breakIns: [...current.breakIns].reverse(),
      versions: [...current.versions].reverse(),
    },
  };
}

test('the order in which things arrived does not matter', () => {
  fc.assert(
    fc.property(timeline, ({ inputs, results }) => {
      inputs.forEach((given, index) => expect(bytes(settle(shuffled(given)))).toBe(bytes(results[index] ?? settle(given))));
    }),
    { numRuns },
  );
});

test('what is stored computes again to the same bytes, with and without explanations', () => {
  fc.assert(
    fc.property(timeline, ({ inputs, results }) => {
      inputs.forEach((given, index) => {
        const decoded = decodeInputs(JSON.parse(canonicalJson(encodeInputs(given))));
        if (!decoded.ok) throw new Error(JSON.stringify(decoded.problems));
        expect(bytes(settle(decoded.document))).toBe(bytes(results[index] ?? settle(given)));
        const plain = settle(given, { explain: false });
        expect(plain.payables).toEqual(results[index]?.payables);
        expect(plain.postings).toEqual(results[index]?.postings);
      });
    }),
    { numRuns: Math.ceil(numRuns / 3) },
  );
});

/** Lines by key, which say what a line is about. */
function figures(result: SettlementResult): Record<string, bigint> {
  return Object.fromEntries(result.periods.flatMap((period) => period.lines.map((line) => [`${period.period.id} ${line.key}`, line.amountMinor])));
}

test("splitting one machine's count into two within one collection does not matter", () => {
  fc.assert(
    fc.property(timeline, fc.nat({ max: 100 }), ({ inputs, results }, percent) => {
      inputs.forEach((given, index) => {
        const counts = given.current.counts.flatMap((count) => {
          const part = (count.coinMinor * BigInt(percent)) / 100n;
          // A meter is read once; its figure stays with the first part, less nothing.
          const second = {
            ...count,
            id: `${count.id}-2`,
            coinMinor: count.coinMinor - part,
            noteMinor: 0n,
            tokens: [],
            meteredMinor: count.meteredMinor === null ? null : 0n,
          };
          return [{ ...count, coinMinor: part }, second];
        });
        expect(figures(settle({ ...given, current: { ...given.current, counts } }))).toEqual(figures(results[index] ?? settle(given)));
      });
    }),
    { numRuns },
  );
});

test('signing the same terms again changes no figure', () => {
  fc.assert(
    fc.property(timeline, fc.integer({ min: 0, max: 27 }), ({ inputs, results }, day) => {
      inputs.forEach((given, index) => {
        const latest = given.current.versions.filter((version) => version.startsOn <= given.current.period.from).at(-1);
        if (latest === undefined || given.current.versions.length > 1) return;
        const again = {
          ...latest,
          id: 'signed-again',
          startsOn: given.current.counts[day % Math.max(given.current.counts.length, 1)]?.accountingDate ?? given.current.period.from,
        };
        const now = settle({ ...given, current: { ...given.current, versions: [latest, again] } });
        expect(figures(now)).toEqual(figures(results[index] ?? settle(given)));
        expect(now.payables).toEqual(results[index]?.payables);
      });
    }),
    { numRuns },
  );
});

test('every explanation refers to lines and records that are there', () => {
  fc.assert(
    fc.property(timeline, ({ inputs, results }) => {
      results.forEach((result, index) => {
        const current = inputs[index]?.current;
        const period = result.periods.at(-1);
        if (current === undefined || period === undefined) return;
        const records = new Set([...current.counts, ...current.refundSlips, ...current.cashless, ...current.breakIns].map((record) => record.id));
        const keys = new Set([...result.periods.flatMap((each) => each.lines), ...result.payoutLines].map((line) => line.key));
        for (const line of [...period.lines, ...result.payoutLines]) {
          for (const ref of line.explanation?.inputs ?? [])
            expect([line.key, ref.of === 'line' ? keys.has(ref.key) : records.has(ref.id)]).toEqual([line.key, true]);
        }
      });
    }),
    { numRuns },
  );
});

const plainly = { charges: [], guarantees: [], loss: 'carry' } as const;

test('under plain shares, one unit more in the box never costs a party more than one unit', () => {
  fc.assert(
    fc.property(agreement, events, ({ versions, taxRules }, list) => {
      const versionsNow = versions.slice(0, 1).map((version) => ({ ...version, terms: { ...version.terms, ...plainly, basis: 'counted' as const } }));
      if (versionsNow.some(({ terms }) => terms.split.kind === 'bands')) return;
      // A tax with a whole base is monotone only where nothing is carried or capped between machines.
      const rules = taxRules
        .filter((rule) => rule.method === 'inside' && rule.capPerMachineMonthMinor === null && rule.machineKinds === 'all')
        .slice(0, 1);
      const run = (more: bigint) =>
        issueAll(
          { versions: versionsNow, taxRules: rules },
          list.map((event, index) => ({ event: index === 0 ? { ...event, coinMinor: event.coinMinor + more } : event, knownIn: 0 })),
        );
      const [before, after] = [run(0n), run(1n)];
      before.results.forEach((result, index) => {
        result.parties.forEach((party, position) => {
          const now = after.results[index]?.parties[position];
          const pools = Math.max(
            ...result.periods.map((period) => period.lines.filter((line) => line.kind === 'share' && line.about.party === party.party).length),
            1,
          );
          expect((now?.sharesMinor ?? 0n) - party.sharesMinor).toBeGreaterThanOrEqual(-BigInt(pools));
        });
      });
    }),
    { numRuns },
  );
});
