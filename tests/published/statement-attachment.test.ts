/** What is attached to statements, against its published schema, by a validator of other people (JSON Schema 2020-12). */
import { ATTACHMENT_SCHEMA_NAME, attachmentJsonSchema } from '#contracts/statement-attachment-schema';
import { decodeInputs, decodeResult } from '#contracts/settlement-document';
import { localDate } from '#domain/calendar/local-date';
import type { CanonicalValue } from '#domain/evidence/canonical-json';
import { attachedParts } from '#statement/attached-page';
import type { StatementFacts } from '#statement/settlement-mapping';
import { issuedFolder } from '#tests/support/issued-settlements';
import Ajv2020 from 'ajv/dist/2020';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

const committed = JSON.parse(readFileSync(join(__dirname, '..', '..', 'libs', 'contracts', ATTACHMENT_SCHEMA_NAME), 'utf8')) as object;
const validator = new Ajv2020({ strict: true, allErrors: false, validateFormats: false }).compile(committed);

/** All that a page can carry; `bare` without whatever may be left out. */
function attachment(stored: { inputs: CanonicalValue; result: CanonicalValue }, { bare }: { bare: boolean }): Record<string, unknown> {
  const settlement = { format: 1, settlementId: 'settlement', number: 'T-2026-000001', issuedOn: '2026-02-02', ...stored };
  const party = { name: 'Žižkov Hospitality', addressLines: ['201 Quay Road'] };
  const facts: StatementFacts = {
    operator: { ...party, registration: '600-123' },
    site: { ...party, code: 'KETTLE' },
    payee: { ...party, partyId: 'site' },
    partyNames: new Map([['site', party.name]]),
    games: new Map([['m-A', 'Comet Courier']]),
    statementNumber: 'T-2026-000001',
    issuedOn: localDate('2026-02-02'),
    issuedAt: '2026-02-02T10:00:00Z',
    locale: 'de-DE',
    paper: 'A4',
    earlierStatements: new Map([['period', { statementNumber: 'T-2025-000311', reason: 'Eine Leerung wurde nachgemeldet.' }]]),
    carriedFrom: new Map(),
    evidence: { headSize: 1, headRoot: 'ab'.repeat(32), settlementDigest: 'cd'.repeat(32) },
    settlement,
    ...(bare
      ? {}
      : {
          payment: 'By bank transfer.',
          notRead: new Set(['m-A']),
          readings: [{ machineId: 'm-A', meter: 'Münzen', beforeValue: 10n ** 9n, lastValue: 10n ** 9n + 1n, readOn: localDate('2026-01-15') }, { machineId: 'm-B', meter: 'Münzen', lastValue: 0n, readOn: localDate('2026-01-15') }],
          recent: [{ firstDay: localDate('2026-01-01'), lastDay: localDate('2026-01-31'), takingsMinor: 10n ** 18n, payableMinor: -5n }],
          verificationAddress: 'https://ledger.example/verifier.html',
          standing: { operatorId: '0189a000-0000-7000-8000-00000000000a', salt: 'ef'.repeat(16) },
          earlierHead: { statementNumber: 'T-2025-000311', size: 1, root: 'ab'.repeat(32), proof: ['cd'.repeat(32)] },
        }),
  };
  const { evidence } = facts;
  const { attached } = attachedParts(facts, bare ? [] : ['Bitte fragen Sie Ihre Steuerbehörde.']);
  return JSON.parse(JSON.stringify({ format: 2, statementNumber: facts.statementNumber, evidenceHead: { size: evidence.headSize, root: evidence.headRoot }, settlementDigest: evidence.settlementDigest, ...attached })) as Record<string, unknown>;
}

const files = readdirSync(issuedFolder).filter((name) => name.endsWith('.json'));
const storedIn = (file: string) => JSON.parse(readFileSync(join(issuedFolder, file), 'utf8')) as { inputs: CanonicalValue; result: CanonicalValue };

it('is committed as the program would write it: a difference is a decision, made with `npm run openapi`', () => {
  expect(committed).toEqual(JSON.parse(JSON.stringify(attachmentJsonSchema())));
});

it.each(files)('every issued settlement fits, with little beside it and with all: %s', (file) => {
  const stored = storedIn(file);
  expect(decodeInputs(stored.inputs).ok && decodeResult(stored.result).ok).toBe(true);
  for (const bare of [true, false]) {
    validator(attachment(stored, { bare }));
    expect(validator.errors ?? []).toEqual([]);
  }
});

it.each([
  ['a figure as a number', (given: Record<string, unknown>) => ({ ...given, page: { ...(given['page'] as object), recent: [{ firstDay: '2026-01-01', lastDay: '2026-01-31', takingsMinor: 1, payableMinor: '1' }] } })],
  ['a member that nobody knows', (given: Record<string, unknown>) => ({ ...given, note: 'and more' })],
  ['a digest that is cut off', (given: Record<string, unknown>) => ({ ...given, settlementDigest: 'cd' })],
  ['no page', ({ page: _, ...given }: Record<string, unknown>) => given],
])('%s does not fit', (_, change) => {
  expect(validator(change(attachment(storedIn(files[0] ?? ''), { bare: true })))).toBe(false);
});
