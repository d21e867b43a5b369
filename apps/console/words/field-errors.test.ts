import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { readyTaxAreas } from '#contracts/ready-areas/all';
import { fill, sayFieldError } from '../parts/field-words';
import { fieldErrors as german } from './de/field-errors';
import { fieldErrors as english } from './en/field-errors';
import { fieldErrors as spanish } from './es/field-errors';
import { readyAreaNotes as germanNotes } from './de/ready-areas';
import { readyAreaNotes as spanishNotes } from './es/ready-areas';
import { words } from './words';

const root = join(__dirname, '../../..');

function sourcesIn(folder: string): string[] {
  return readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts') && !name.endsWith('.test.ts') && !saidElsewhere.test(`${folder}/${name}`))
    .map((name) => readFileSync(join(root, folder, name), 'utf8'));
}

/** Lines of a file that is uploaded have words of their own (import/words-*.ts, audit-files.ts). */
const saidElsewhere = /backoffice\/(import|audit-file)\//;

const patterns = [
  // { path: [...], code: 'unknown', message: ... }
  /\bcode: '([a-z0-9-]+)',\s*message\b/g,
  // .refine(..., { message: ..., params: { code: 'missing' } })
  /\bparams: \{ code: '([a-z0-9-]+)'/g,
  // wrong('endedOn', 'not-after-start', `Not ...`), refuse('twice', 'It ...'), whatever a file calls it: a sentence follows (what has one letter is an alias in SQL).
  /\b\w+\((?:'[^'\n]*', )*'([a-z0-9-]{2,})', (?=[`'][A-Z]|`\$\{)/g,
  /\bcase '([a-z0-9-]+)':\n\s+return \{ path: /g,
  /\bkind: '([a-z0-9-]+)'; readonly index/g,
  // One of two codes, or several by what is wrong.
  /\bcode: [^\n,]*\? '([a-z0-9-]+)' : '[a-z0-9-]+',/g,
  /\bcode: [^\n,]*\? '[a-z0-9-]+' : '([a-z0-9-]+)',/g,
];

/** What only looks like a code of a field: zod's own, what the comparison of books and log finds, and why a statement got no time stamp. */
const ofOthers: ReadonlySet<string> = new Set(['custom', 'changed', 'erased-by-nobody', 'statement-not-stamped', 'no-authority']);

/** Codes that a use case or a contract gives to a field, as their sources say them. */
function codesOfFields(): string[] {
  const sources = ['libs/backoffice', 'libs/contracts', 'libs/domain/counting'].flatMap(sourcesIn);
  const inSources = sources.flatMap((source) => patterns.flatMap((pattern) => [...source.matchAll(pattern)]));
  const found = [...inSources, ...maps.flatMap((file) => [...readFileSync(join(root, 'libs', file), 'utf8').matchAll(inMaps)])].map(([, code = '']) => code);
  return [...new Set([...found, ...obstaclesToSettling])].filter((code) => !ofOthers.has(code)).sort();
}

/** Maps of what is wrong with terms, a certificate, an IBAN, or what a payment settles, by the name of the problem. */
const maps = ['backoffice/agreement/terms-messages.ts', 'backoffice/certificate/own.ts', 'backoffice/payment/matching.ts', 'contracts/bank-detail.ts'];
const inMaps = /^ {2}'?([a-z0-9-]+)'?: (?:\{ field: '\w+', message: |\((?:due|\{[^}]*\})?(?:, amount)?\) => |'(?:is no IBAN|begins with a country|is longer or shorter|has check digits))/gm;

/** What stands in the way of a settlement: their refusal names them as fields are named. */
const obstaclesToSettling = [...readFileSync(join(root, 'libs/backoffice/settlement/inputs/obstacle.ts'), 'utf8').matchAll(/^ {2}'([a-z-]+)': '/gm)].map(([, code = '']) => code);

/** What asked.ts makes of a body that is not well formed. */
const ofBodies = ['missing', 'wrong-type', 'too-large', 'too-small', 'wrong-format', 'not-one-of', 'no-known-form', 'not-valid', 'unknown-field'];

it('finds the codes in the sources', () => {
  const codes = codesOfFields();
  expect(codes.length).toBeGreaterThan(180);
  expect(codes).toEqual(expect.arrayContaining(['unknown', 'other-currency', 'no-removal-that-day', 'not-after-start', 'before-agreement', 'number-taken', 'either-or', 'read-and-unread', 'same-code', 'earlier-takings-unsettled']));
});

it.each([['German', german], ['Spanish', spanish]] as const)('has words in %s for every code of a field', (_language, said) => {
  expect([...codesOfFields(), ...ofBodies].filter((code) => said[code] === undefined)).toEqual([]);
});

it.each([['German', german, spanish], ['Spanish', spanish, german]] as const)('says in %s what the other language says, with the same values, all of which may be left out', (_language, said, other) => {
  expect(Object.keys(said).sort()).toEqual(Object.keys(other).sort());
  const valuesIn = (template = '') => [...template.matchAll(/\{(\w+)\}/g)].map(([, name]) => name).sort();
  expect(Object.keys(said).filter((code) => valuesIn(said[code]).join() !== valuesIn(other[code]).join())).toEqual([]);
  expect(Object.values(said).filter((template) => /[[\]{}]/.test(fill(template, {})))).toEqual([]);
});

it.each([['German', germanNotes], ['Spanish', spanishNotes]] as const)('has words in %s for every note of a ready tax area, and for no other', (_language, said) => {
  const notes = new Set(readyTaxAreas.flatMap(({ caution, notes: each }) => [caution, ...each]));
  expect(Object.keys(said).sort()).toEqual([...notes].sort());
});

it('leaves English to the api', () => expect(english).toEqual({}));

describe('an error about a field', () => {
  const unsaid = { code: 'of-tomorrow', message: 'Not before tomorrow.' };
  afterEach(() => Object.assign(words, { language: undefined, fieldErrors: undefined }));

  it('is said by its code with the values that came with it', () => {
    Object.assign(words, { language: 'de', fieldErrors: german });
    const outside = { code: 'site-closed', message: 'Site QUAY closed on 31 October 2026.' };
    expect(sayFieldError({ ...outside, values: { day: '2026-10-31' } })).toEqual({ message: expect.stringMatching(/^Der Standort wurde am .*2026.* geschlossen\.$/) as unknown, isEnglish: false });
    expect(sayFieldError(outside)).toEqual({ message: 'Der Standort wurde geschlossen.', isEnglish: false });
    expect(sayFieldError({ code: 'other-currency', message: '', values: { currency: 'EUR' } }).message).toBe('Hier gilt eine andere Währung: EUR.');
  });

  it('is as the api says it where there are no words, and on an English page', () => {
    Object.assign(words, { language: 'de', fieldErrors: german });
    expect(sayFieldError(unsaid)).toEqual({ message: 'Not before tomorrow.', isEnglish: true });
    Object.assign(words, { language: 'en', fieldErrors: english });
    expect(sayFieldError({ code: 'unknown', message: 'There is no site with this id.' })).toEqual({ message: 'There is no site with this id.', isEnglish: false });
  });
});
