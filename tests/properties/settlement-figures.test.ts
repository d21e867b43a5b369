import fc from 'fast-check';
import { addDays } from '#domain/calendar/local-date';
import { decodeInputs, encodeInputs, encodeResult } from '#contracts/settlement-document';
import { canonicalJson } from '#domain/evidence/canonical-json';
import { reversed, settlementIssued } from '#domain/journal/entries';
import { settle } from '#domain/settlement/settle';
import type { PeriodResult, SettlementInputs, SettlementResult } from '#domain/settlement/types';
import { arbitraryEvents, arbitraryTaxRules, arbitraryVersions } from '#tests/support/settlement-arbitrary';
import { holds } from '#tests/support/property-runs';
import { issueAll, span, type Agreement } from '#tests/support/settlement-timeline';

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
  holds(
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
    { thousandths: 60 },
  );
});

test('every line has a key of its own and a number, and no charge takes more than there is', () => {
  holds(
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
    { thousandths: 60 },
  );
});

test('guarantees only move money, and tax never comes out below zero', () => {
  holds(
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
    { thousandths: 60 },
  );
});

/** Puts every list whose order is an accident into another one: sorts it by keys drawn at random, over and over. */
function shuffled(given: SettlementInputs, keys: readonly number[]): SettlementInputs {
  let drawn = 0;
  const anyhow = <Item>(list: readonly Item[]): Item[] =>
    list
      .map((item) => ({ item, key: keys[drawn++ % keys.length] ?? 0 }))
      .sort((first, second) => first.key - second.key)
      .map(({ item }) => item);
  const { current } = given;
  return {
    ...given,
    handedCash: anyhow(given.handedCash),
    carriedItems: anyhow(given.carriedItems),
    current: {
      ...current,
      counts: anyhow(current.counts),
      machines: anyhow(current.machines),
      refundSlips: anyhow(current.refundSlips),
      cashless: anyhow(current.cashless),
      breakIns: anyhow(current.breakIns),
      versions: anyhow(current.versions),
    },
  };
}

test('the order in which things arrived does not matter', () => {
  holds(
    fc.property(timeline, fc.array(fc.nat({ max: 999 }), { minLength: 7, maxLength: 31 }), ({ inputs, results }, keys) => {
      inputs.forEach((given, index) => expect(bytes(settle(shuffled(given, keys)))).toBe(bytes(results[index] ?? settle(given))));
    }),
    { thousandths: 60 },
  );
});

test('what is stored computes again to the same bytes, with and without explanations', () => {
  holds(
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
    { thousandths: 30 },
  );
});

/** Lines by key, which say what a line is about. */
function figures(result: SettlementResult): Record<string, bigint> {
  return Object.fromEntries(result.periods.flatMap((period) => period.lines.map((line) => [`${period.period.id} ${line.key}`, line.amountMinor])));
}

test("splitting one machine's count into two within one collection does not matter", () => {
  holds(
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
    { thousandths: 60 },
  );
});

test('signing the same terms again changes no figure', () => {
  holds(
    fc.property(timeline, fc.integer({ min: 0, max: 27 }), ({ inputs, results }, day) => {
      inputs.forEach((given, index) => {
        const { versions, period } = given.current;
        const startsOn = addDays(period.from, day);
        const inForce = versions.filter((version) => version.startsOn < startsOn).at(-1);
        if (inForce === undefined || versions.some((version) => version.startsOn === startsOn)) return;
        const again = { ...inForce, id: 'signed-again', startsOn };
        const now = settle({ ...given, current: { ...given.current, versions: [...versions, again] } });
        expect(figures(now)).toEqual(figures(results[index] ?? settle(given)));
        expect(now.payables).toEqual(results[index]?.payables);
      });
    }),
    { thousandths: 60 },
  );
});

test('a reversal brings every balance back, and settling again gives the same', () => {
  holds(
    fc.property(timeline, ({ inputs, results }) => {
      const head = (id: string) => ({ id, date: span.from, currency: 'USD' as const, sourceId: id });
      results.forEach((result, index) => {
        const issued = settlementIssued(head('issue'), result);
        const balances = new Map<string, bigint>();
        for (const entry of [issued, reversed(head('reversal'), issued)])
          for (const { account, amountMinor } of entry.postings) {
            const key = `${account.code} ${account.holderId ?? ''}`;
            balances.set(key, (balances.get(key) ?? 0n) + amountMinor);
          }
        expect([...balances.values()].filter((balance) => balance !== 0n)).toEqual([]);
        expect(bytes(settle(inputs[index] as SettlementInputs))).toBe(bytes(result));
      });
    }),
    { thousandths: 40 },
  );
});

test('every explanation refers to lines and records that are there', () => {
  holds(
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
    { thousandths: 60 },
  );
});
