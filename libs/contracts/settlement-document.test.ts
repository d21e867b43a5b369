import { decodeInputs, decodeResult, encodeInputs, encodeResult } from '#contracts/settlement-document';
import { localDate } from '#domain/calendar/local-date';
import { canonicalJson } from '#domain/evidence/canonical-json';
import { decimal } from '#domain/money/decimal';
import { issuedLines } from '#domain/settlement/differences';
import { settle } from '#domain/settlement/settle';
import type { SettlementInputs } from '#domain/settlement/types';
import type { LawLimit } from '#domain/tax/types';
import {
  breakIn,
  cashless,
  charge,
  count,
  fixedRule,
  inputs,
  insideRule,
  machine,
  operator,
  period,
  shares,
  site,
  slip,
  takingsRule,
  version,
} from '#tests/support/settlement-inputs';

const dated = { areaId: 'area', source: 'invented for tests', from: localDate('2020-01-01'), until: null };

const limits: LawLimit[] = [
  { ...dated, id: 'l1', kind: 'highest-site-share', percent: decimal('10') },
  { ...dated, id: 'l2', kind: 'fixed-split', operatorPercent: decimal('60'), sitePercent: decimal('40') },
  { ...dated, id: 'l3', kind: 'no-advances' },
];

/** Something of everything, with a late count in an issued month. */
function everything(): SettlementInputs {
  const first = version('2020-01-01', {
    tokens: [{ tokenId: 'brass', valueMinor: 25n }],
    charges: [
      charge({ rest: 'carry' }),
      charge({ id: 'card', title: 'Card fees', scope: 'machine', amount: { kind: 'percentage', of: 'cashless-takings', percent: decimal('2.5') } }),
    ],
    breakIns: { borneBy: 'site' },
    guarantees: [{ id: 'g', kind: 'at-least', party: site, amountMinor: 5000n, per: 'month', scope: 'agreement', from: 'operator' }],
    advances: { kind: 'percentage', percent: decimal('10') },
    payout: { smallestMinor: 0n, negative: 'carry', smallestCoinMinor: 5n },
  });
  const second = version('2026-02-10', {
    grouping: 'machine',
    advances: { kind: 'percentage', percent: decimal('10') },
    split: {
      kind: 'bands',
      method: 'whole',
      scope: 'pool',
      per: 'period',
      bands: [{ fromMinor: 0n, toMinor: null, shares: shares([operator, '70'], [site, '30']) }],
    },
  });
  const taxRules = [
    insideRule(['5', '1']),
    takingsRule(['2'], { id: 'rule-2', taxId: 'gaming', negative: 'carry', until: localDate('2026-02-15') }),
    fixedRule(1000n, { id: 'rule-3', taxId: 'decal', timing: { kind: 'when-due', month: 2, day: 1, onPlacement: true } }),
  ];
  const january = period('2026-01-01', '2026-02-01', { versions: [first], taxRules, counts: [count('A', '2026-01-20', 3000n)] });
  const issued = settle(inputs(january));
  const later = { ...january, counts: [...january.counts, count('A', '2026-01-27', 40_001n)] };
  return inputs(
    period('2026-02-01', '2026-03-01', {
      versions: [first, second],
      taxRules,
      limits,
      machines: [machine('A'), machine('B', { placements: [{ id: 'p-B', from: localDate('2026-02-03'), until: localDate('2026-02-20') }] })],
      counts: [
        count('A', '2026-02-05', 30_000n, { tokens: [{ tokenId: 'brass', pieces: 7 }], meteredMinor: 31_000n }),
        count('B', '2026-02-17', 90_000n),
      ],
      refundSlips: [slip('A', '2026-02-05', 300n)],
      cashless: [cashless('B', '2026-02-11', 5000n, 100n)],
      breakIns: [breakIn('B', '2026-02-18', 2000n)],
    }),
    {
      earlier: [{ inputs: later, issued: issuedLines([issued], 'period-2026-01-01') }],
      carriedItems: [{ id: 'i1', party: site, amountMinor: -20n }],
      advances: [{ id: 'a1', party: site, openMinor: 1_000_000n }],
      handedCash: [{ id: 'h1', party: site, collectionId: null, date: localDate('2026-02-05'), amountMinor: 700n, reason: 'on-account' }],
    },
  );
}

/** What a store and a reader do to a document. */
function stored(text: string): unknown {
  return JSON.parse(text);
}

test('what is stored computes again to the same bytes', () => {
  const given = everything();
  const inputBytes = canonicalJson(encodeInputs(given));
  const resultBytes = canonicalJson(encodeResult(settle(given)));
  const decoded = decodeInputs(stored(inputBytes));
  if (!decoded.ok) throw new Error(JSON.stringify(decoded.problems));
  expect(canonicalJson(encodeInputs(decoded.document))).toBe(inputBytes);
  expect(canonicalJson(encodeResult(settle(decoded.document)))).toBe(resultBytes);
});

test('a stored result is read back whole', () => {
  const result = settle(everything());
  expect(result.breaches.map((breach) => breach.kind)).toContain('no-advances');
  expect(decodeResult(stored(canonicalJson(encodeResult(result))))).toEqual({ ok: true, document: result });
});

test.each<[string, (document: Record<string, unknown>) => void, string]>([
  ['a number for an amount', (document) => (document['advances'] = [{ id: 'a', party: 'site', openMinor: 5 }]), '/advances/0/openMinor'],
  ['an amount with a point', (document) => (document['advances'] = [{ id: 'a', party: 'site', openMinor: '5.0' }]), '/advances/0/openMinor'],
  ['another shape', (document) => (document['format'] = 2), '/format'],
  ['a kind that does not exist', (document) => (document['kind'] = 'provisional'), '/kind'],
  ['a field too many', (document) => (document['note'] = 'x'), ''],
  ['a missing field', (document) => delete document['earlier'], '/earlier'],
])('%s is refused, naming the place', (_title, change, pointer) => {
  const document = stored(canonicalJson(encodeInputs(everything()))) as Record<string, unknown>;
  change(document);
  const decoded = decodeInputs(document);
  expect(decoded.ok ? [] : decoded.problems.map((problem) => problem.pointer)).toEqual([pointer]);
});
