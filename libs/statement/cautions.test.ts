import { statementPageSchema } from '#contracts/statement-attachment';
import { localDate } from '#domain/calendar/local-date';
import { decimal } from '#domain/money/decimal';
import { issuedLines } from '#domain/settlement/differences';
import { settle } from '#domain/settlement/settle';
import type { SettlementInputs } from '#domain/settlement/types';
import type { LawLimit } from '#domain/tax/types';
import { statementFromSettlement } from '#statement/from-settlement';
import { contentOf } from '#statement/page/content';
import type { StatementFacts } from '#statement/settlement-mapping';
import { breakIn, count, inputs, insideRule, machine, operator, period, site, version } from '#tests/support/settlement-inputs';

const JANUARY = ['2026-01-01', '2026-02-01'] as const;
const LANGUAGES = ['en-GB', 'de-DE', 'es-ES'] as const;

function cautionsOf(given: SettlementInputs, facts: Partial<StatementFacts> = {}): readonly string[] {
  const document = statementFromSettlement({ inputs: given, result: settle(given, { explain: false }) }, {
    operator: { name: 'Harbour Lane', addressLines: [] },
    site: { name: 'The Copper Kettle', addressLines: [], code: 'KETTLE' },
    payee: { name: 'Kettle Hospitality', addressLines: [], partyId: site },
    partyNames: new Map([[operator, 'Harbour Lane'], [site, 'Kettle Hospitality']]),
    games: new Map(),
    statementNumber: '2026-000001',
    issuedOn: localDate('2026-02-02'),
    issuedAt: '2026-02-02T10:00:00Z',
    locale: 'en-GB',
    paper: 'A4',
    earlierStatements: new Map([['period-2025-12-01', { statementNumber: '2025-000311', reason: 'A count came late.' }]]),
    carriedFrom: new Map(),
    evidence: { headSize: 1, headRoot: 'ab'.repeat(32), settlementDigest: 'cd'.repeat(32) },
    ...facts,
  });
  // The page says them all, under a heading of their own.
  expect(contentOf(document).notes.at(-1)?.lines).toEqual(document.cautions);
  return document.cautions;
}

const january = (changes: Parameters<typeof period>[2] = {}): SettlementInputs => inputs(period(...JANUARY, { counts: [count('A', '2026-01-15', 60_000n)], ...changes }));
const limit = (kind: LawLimit['kind'], source = 'Invented Code 12'): LawLimit => {
  const base = { id: `limit-${kind}`, areaId: 'area', source, from: localDate('2020-01-01'), until: null };
  if (kind === 'highest-site-share') return { ...base, kind, percent: decimal('62.5') };
  return kind === 'fixed-split' ? { ...base, kind, operatorPercent: decimal('50'), sitePercent: decimal('50') } : { ...base, kind };
};

it('always says that tax and law differ by place, and of a plain month nothing more', () => {
  expect(cautionsOf(january())).toEqual([expect.stringContaining('ask your tax authority or a licensed practitioner')]);
  expect(cautionsOf(january(), { locale: 'de-DE' })).toEqual([expect.stringContaining('Fragen Sie Ihre Steuerbehörde')]);
  expect(cautionsOf(january(), { locale: 'es-MX' })).toEqual([expect.stringContaining('consulte a su autoridad tributaria')]);
});

it('names machines that stood there and were not emptied, many of them by their number, and none that left before', () => {
  const gone = machine('Z', { placements: [{ id: 'p-Z', from: localDate('2020-01-01'), until: localDate('2026-01-01') }] });
  expect(cautionsOf(january({ machines: [machine('C'), machine('B'), machine('A'), gone] }))[1]).toBe('Not emptied in this period: B, C. What is in them comes with their next count.');
  const many = Array.from({ length: 15 }, (_, index) => machine(`M-${10 + index}`));
  expect(cautionsOf(january({ machines: [machine('A'), ...many] }))[1]).toContain('M-10, M-11, M-12, M-13, M-14, M-15, M-16, M-17, M-18, M-19, M-20, M-21 (+3).');
  // Of a month in which nothing was emptied the takings themselves say so.
  expect(cautionsOf(january({ counts: [] }))).toHaveLength(1);
});

it('names machines that were counted without a reading, and only those that were counted', () => {
  const given = january({ machines: [machine('A'), machine('B')], counts: [count('A', '2026-01-15', 60_000n), count('B', '2026-01-15', 60_000n)] });
  expect(cautionsOf(given, { notRead: new Set(['m-B', 'm-elsewhere']) })[1]).toBe('Counted at least once without a meter reading: B. For that count there is only what was counted.');
  expect(cautionsOf(given, { notRead: new Set() })).toHaveLength(1);
});

it('says which limits of the law were in force, with their source, where it can be printed', () => {
  const half = { versions: [version('2020-01-01')] };
  expect(cautionsOf(january({ ...half, limits: [limit('highest-site-share')] }))[1]).toBe('The law of the place lets the site have at most 62.5\u00a0% of what is left to share (Invented Code 12).');
  expect(cautionsOf(january({ ...half, limits: [limit('fixed-split')] }), { locale: 'de-DE' })[1]).toBe('Das Recht des Ortes teilt den Betrag selbst: Aufsteller 50\u00a0%, Standort 50\u00a0% (Invented Code 12).');
  expect(cautionsOf(january({ ...half, limits: [limit('no-advances', '酒場法')] }))[1]).toBe('The law of the place allows no advances to a site.');
  const over: LawLimit = { ...limit('no-advances'), until: localDate('2026-01-01') };
  const later: LawLimit = { ...limit('no-advances'), from: localDate('2026-02-01') };
  expect(cautionsOf(january({ limits: [over, later] }))).toHaveLength(1);
});

it('says of very many limits how many more there are, so that what is attached holds them whatever else there is to say', () => {
  const limits = Array.from({ length: 30 }, (_, index) => ({ ...limit('no-advances', `Invented Code ${index + 1}`), id: `limit-${index}` }));
  const half = { versions: [version('2020-01-01')] };
  const said = (count: number, locale = 'en-GB') => cautionsOf(january({ ...half, limits: limits.slice(0, count) }), { locale }).slice(1);
  expect(said(14)).toHaveLength(14);
  expect(said(15)).toEqual([...said(13), '2 more limits of the law of the place were in force; the attached figures list them all.']);
  expect(LANGUAGES.map((locale) => said(30, locale).at(-1))).toEqual([expect.stringMatching(/^17 more limits/), expect.stringMatching(/^17 weitere Grenzen/), expect.stringMatching(/17 límites más/)]);

  // With everything else that can be said.
  const december = (counts: readonly ReturnType<typeof count>[]) => period('2025-12-01', '2026-01-01', { counts });
  const first = settle(inputs(december([count('A', '2025-12-15', 10_000n)])), { explain: false });
  const earlier = [{ inputs: december([count('A', '2025-12-15', 10_000n), count('A', '2025-12-29', 5_000n)]), issued: issuedLines([first], 'period-2025-12-01') }];
  const taxed = { versions: [version('2020-01-01', { tax: { filedBy: 'site', borneBy: 'as-the-rule-says' } })], taxRules: [insideRule(['20'])] };
  const everything = { ...january({ ...taxed, limits, machines: [machine('A'), machine('B')], breakIns: [breakIn('A', '2026-01-20', 5_000n)] }), earlier };
  expect(statementPageSchema.shape.cautions.parse(cautionsOf(everything, { notRead: new Set(['m-A']) }))).toHaveLength(20);
});

it('says what of the payment is tax that the payee files', () => {
  const given = january({ versions: [version('2020-01-01', { tax: { filedBy: 'site', borneBy: 'as-the-rule-says' } })], taxRules: [insideRule(['20'])] });
  expect(cautionsOf(given)[1]).toBe('You file tax yourself: 100.00 of what you get is meant for the authority.');
  expect(cautionsOf(given, { locale: 'de-DE' })[1]).toContain('100,00');
});

it('says that stolen cash was not counted, and that earlier periods changed', () => {
  expect(cautionsOf(january({ breakIns: [breakIn('A', '2026-01-20', 5_000n)] }))[1]).toMatch(/as the meters imply it/);
  const december = (counts: readonly ReturnType<typeof count>[]) => period('2025-12-01', '2026-01-01', { counts });
  const first = settle(inputs(december([count('A', '2025-12-15', 10_000n)])), { explain: false });
  const changed = { ...january(), earlier: [{ inputs: december([count('A', '2025-12-15', 10_000n), count('A', '2025-12-29', 5_000n)]), issued: issuedLines([first], 'period-2025-12-01') }] };
  expect(cautionsOf(changed)[1]).toMatch(/stay as they were issued/);
});

it('says the same in every language, in other words', () => {
  const limits = (['highest-site-share', 'no-advances'] as const).map((kind) => limit(kind));
  const given = january({ machines: [machine('A'), machine('B')], limits, breakIns: [breakIn('A', '2026-01-20', 5_000n)], versions: [version('2020-01-01', { tax: { filedBy: 'site', borneBy: 'as-the-rule-says' } })], taxRules: [insideRule(['20'])] });
  const said = LANGUAGES.map((locale) => cautionsOf(given, { locale, notRead: new Set(['m-A']) }));
  expect(said.map((each) => each.length)).toEqual([7, 7, 7]);
  expect(new Set(said.flat()).size).toBe(21);
});

it('leaves a statement of an earlier setting with what is attached to it', () => {
  expect(cautionsOf(january({ machines: [machine('A'), machine('B')] }), { earlierSetting: { version: 2, cautions: ['As it was said.'] } })).toEqual(['As it was said.']);
});
