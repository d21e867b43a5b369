/**
 * Pages as pdftotext reads them. Text and not pixels is compared: how a rasteriser smooths letters changes with its version,
 * what a reader is told does not.
 */
import type { SettlementInputs } from '#domain/settlement/inputs';
import type { SettlementResult } from '#domain/settlement/result';
import { localDate } from '#domain/calendar/local-date';
import type { StatementDocument } from '#statement/document';
import { statementFromSettlement } from '#statement/from-settlement';
import { contentOf } from '#statement/page/content';
import { renderStatement } from '#statement/statement';
import { formatAmount } from '#statement/words/format';
import { languageOf } from '#statement/words/languages';
import { describeWithProgram, runProgram } from '#tests/support/outside-program';
import { pageOfMonth } from '#tests/support/page-of-month';
import { arbitraryEvents, arbitraryTaxRules, arbitraryVersions } from '#tests/support/settlement-arbitrary';
import { issueAll, span } from '#tests/support/settlement-timeline';
import fc from 'fast-check';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const PAGES = join(__dirname, 'pages');

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'statement-pages-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

/** How far apart words stand is the page's business; where lines end is compared. */
const linesOf = (text: string): string =>
  text
    .split('\n')
    .map((line) => line.replaceAll(/[ \u00a0]+/g, ' ').trim())
    .filter((line) => line !== '')
    .join('\n');

/** One text for each of these files, all read by one process. */
function textsOf(names: readonly string[]): string {
  if (names.length > 1) runProgram('pdfunite', [...names, 'all.pdf'], { cwd: folder });
  return runProgram('pdftotext', ['-layout', names.length > 1 ? 'all.pdf' : (names[0] ?? ''), '-'], { cwd: folder }).stdout;
}

async function written(document: StatementDocument, name: string): Promise<string> {
  writeFileSync(join(folder, name), (await renderStatement(document)).unsignedPdf);
  return name;
}

describeWithProgram('pdftotext', 'poppler-utils', () => {
  it.each([
    ['en-US', 'Letter'],
    ['en-GB', 'A4'],
    ['de-DE', 'A4'],
    ['de-CH', 'Letter'],
    ['es-ES', 'A4'],
    ['es-MX', 'Letter'],
  ] as const)('the page of a whole month in %s on %s says what it always said', async (locale, paper) => {
    const name = await written(pageOfMonth({ locale, paper }), `${locale}.pdf`);
    const golden = join(PAGES, `${locale}-${paper}.txt`);
    const text = `${linesOf(textsOf([name]))}\n`;
    // WRITE_PAGES=1 writes them anew; the difference is the change of the page, for whoever reviews it.
    if (process.env['WRITE_PAGES'] === '1') writeFileSync(golden, text);
    expect(text).toBe(readFileSync(golden, 'utf8'));
  });

  it('200 random settlements are printed with the figures that they have, whatever people are called', async () => {
    const letters = (from: number, to: number): fc.Arbitrary<string> => fc.string({ unit: fc.integer({ min: from, max: to }).map((code) => String.fromCodePoint(code)), minLength: 2, maxLength: 9 });
    // Latin with its extensions, Greek and Cyrillic, letters only.
    const name = fc.oneof(letters(0x41, 0x5a), letters(0xc0, 0xd6), letters(0x100, 0x17e), letters(0x391, 0x3a1), letters(0x3b1, 0x3c9), letters(0x410, 0x44f));
    const timeline = fc
      .tuple(fc.record({ versions: arbitraryVersions(span), taxRules: arbitraryTaxRules(span) }), arbitraryEvents(span, { maxEvents: 14 }))
      .map(([terms, events]) => issueAll(terms, events.map((event) => ({ event, knownIn: 0 }))));
    const drawn = fc.sample(fc.tuple(timeline, name, fc.constantFrom('en-US', 'en-GB', 'de-DE', 'es-ES'), fc.constantFrom('A4', 'Letter')), { numRuns: 67, seed: Number(process.env['SEED'] ?? 20_260_202) });
    const documents = drawn.flatMap(([{ inputs, results }, party, locale, paper], draw) =>
      results.map((result, index) => documentOf({ inputs: inputs[index], result, party, locale, paper, number: `T-${draw}-${index}` })),
    );
    expect(documents.length).toBeGreaterThanOrEqual(200);
    const names: string[] = [];
    for (const document of documents) names.push(await written(document, `${document.statementNumber}.pdf`));
    const pages = textsOf(names).split('\f').slice(0, -1).map(linesOf);
    // A page without a head of its own belongs to the statement before it.
    const texts = new Map<string, string>();
    let number = '';
    for (const page of pages) {
      number = /T-\d+-\d+/.exec(page)?.[0] ?? number;
      texts.set(number, `${texts.get(number) ?? ''}\n${page}`);
    }
    for (const document of documents) expectFigures(document, texts.get(document.statementNumber) ?? '');
  });
});

function documentOf(drawn: { inputs: SettlementInputs | undefined; result: SettlementResult; party: string; locale: string; paper: 'A4' | 'Letter'; number: string }): StatementDocument {
  const { inputs, result, party, locale, paper, number } = drawn;
  if (inputs === undefined) throw new Error('a result without its inputs');
  const payee = result.parties.find(({ role }) => role === 'site')?.party ?? '';
  const named = { name: party, addressLines: [] };
  return statementFromSettlement({ inputs, result }, {
    operator: { name: 'Harbour', addressLines: [] },
    site: { ...named, code: 'KETTLE' },
    payee: { ...named, partyId: payee },
    partyNames: new Map(result.parties.map((each) => [each.party, each.party === payee ? party : each.role])),
    games: new Map(),
    statementNumber: number,
    issuedOn: localDate('2028-02-02'),
    issuedAt: '2028-02-02T10:00:00Z',
    locale,
    paper,
    earlierStatements: new Map(inputs.earlier.map(({ inputs: { period } }) => [period.id, { statementNumber: 'T-0', reason: 'late' }])),
    carriedFrom: new Map(),
    evidence: { headSize: 1, headRoot: 'ab'.repeat(32), settlementDigest: 'cd'.repeat(32) },
  });
}

/** What is due, in the head and in the last line, each row with its line number and all its amounts, and the name. */
function expectFigures(document: StatementDocument, text: string): void {
  const { conventions } = languageOf(document.locale);
  const due = document.dueMinor < 0n ? -document.dueMinor : document.dueMinor;
  expect(text).toContain(`${formatAmount(due, document.currency, conventions)} ${document.currency}`);
  expect(text).toContain(document.payee.name);
  const lines = text.split('\n');
  for (const { rows } of contentOf(document).sections) {
    for (const { line, cells } of rows) {
      const amounts = cells.slice(2).join(' ');
      expect(lines.some((printed) => printed.startsWith(`${line} `) && printed.endsWith(` ${amounts}`.replaceAll('\u00a0', ' ')))).toBe(true);
    }
  }
}
