import { canonicalBytes, type CanonicalValue } from '#domain/evidence/canonical-json';
import { encodeInputs, encodeResult } from '#contracts/settlement-document';
import { leafHash, rootOfLeafHashes } from '#domain/evidence/merkle';
import { consistencyProof } from '#domain/evidence/proof';
import { localDate } from '#domain/calendar/local-date';
import { settle } from '#domain/settlement/settle';
import { attachedJson } from '#statement/attached-figures';
import { statementFromSettlement } from '#statement/from-settlement';
import type { EarlierHead, StatementFacts } from '#statement/settlement-mapping';
import { locateSignature } from '#statement/sign/byte-range';
import { sha256Hex } from '#statement/sign/sign-pdf';
import type { Signer } from '#statement/sign/signer';
import { renderStatement } from '#statement/statement';
import { compareHeads, comparisonsOf } from '#statement/verify/compare-heads';
import { differenceOf, partsOf } from '#statement/verify/pdf-objects';
import { holdsWhole, verifyStatement, type Verdict } from '#statement/verify/verify-statement';
import { sentenceOf, verifierWordsOf } from '#statement/verify/words';
import { charge, count, inputs, insideRule, machine, operator, period, shares, site, slip, version } from '#tests/support/settlement-inputs';
import { operatorSigner, signed } from '#tests/support/signed-pdf';

/** The hashes of the entries of a log. */
const leaves = Array.from({ length: 23 }, (_, index) => leafHash(Buffer.from(`entry ${index}`)));
const hex = (bytes: Uint8Array): string => Buffer.from(bytes).toString('hex');
const headAt = (size: number) => ({ size, root: hex(rootOfLeafHashes(leaves.slice(0, size))) });

const january = inputs(
  period('2026-01-01', '2026-02-01', {
    versions: [version('2020-01-01', { charges: [charge()], split: { kind: 'shares', shares: shares([operator, '60'], [site, '40']) } })],
    machines: [machine('A'), machine('B')],
    counts: [count('A', '2026-01-15', 61_000n, { noteMinor: 2_000n }), count('B', '2026-01-29', 40_000n)],
    refundSlips: [slip('A', '2026-01-15', 500n)],
    taxRules: [insideRule(['4', '0.5'])],
  }),
);

let signer: Signer;
let statement: Buffer;
beforeAll(async () => {
  signer = await operatorSigner();
  statement = await statementOf({});
});

type Given = { number?: string; size?: number; earlierHead?: EarlierHead; change?: (settlement: Record<string, CanonicalValue>) => CanonicalValue; facts?: Partial<StatementFacts>; pageVersion?: number; attachedPage?: Record<string, CanonicalValue>; attachedFrom?: Buffer };

/** A signed statement; `change` is what a cheating operator does to the settlement before signing. */
async function statementOf({ number = 'T-2026-000001', size = 9, earlierHead, change = (same) => same, facts = {}, pageVersion, attachedPage = {}, attachedFrom }: Given): Promise<Buffer> {
  const result = settle(january, { explain: false });
  const settlement = change({ format: 1, settlementId: 'settlement', number, issuedOn: '2026-02-02', inputs: encodeInputs(january), result: encodeResult(result) });
  const head = headAt(size);
  const document = statementFromSettlement({ inputs: january, result }, {
    operator: { name: 'Harbour Lane Amusements', addressLines: ['14 Cooper Street'], registration: '600-123' },
    site: { name: 'The Copper Kettle', addressLines: [], code: 'KETTLE' },
    payee: { name: 'Žižkov Hospitality', addressLines: [], partyId: site },
    partyNames: new Map([[operator, 'Harbour Lane Amusements'], [site, 'Žižkov Hospitality']]),
    games: new Map([['m-A', 'Comet Courier']]),
    statementNumber: number,
    issuedOn: localDate('2026-02-02'),
    issuedAt: '2026-02-02T10:00:00Z',
    locale: 'en-GB',
    paper: 'A4',
    earlierStatements: new Map(),
    carriedFrom: new Map(),
    cautions: [],
    evidence: { headSize: head.size, headRoot: head.root, settlementDigest: sha256Hex(canonicalBytes(settlement)) },
    settlement,
    ...(earlierHead === undefined ? {} : { earlierHead }),
    ...facts,
  });
  const page = { ...(document.attached?.page as Record<string, CanonicalValue>), ...attachedPage, ...(pageVersion === undefined ? {} : { version: pageVersion }) };
  const swapped = attachedFrom === undefined ? undefined : ((await attachedJson(attachedFrom)) as NonNullable<typeof document.attached>);
  const attached = document.attached === undefined ? {} : { attached: swapped ?? { ...document.attached, page } };
  return (await signed((await renderStatement({ ...document, ...attached })).unsignedPdf, signer)).signedPdf;
}

const failing = ({ findings }: Verdict): string[] =>
  findings.flatMap((finding) => (finding.holds === true ? [] : [`${finding.check} ${finding.why.code}${finding.why.code === 'page-differs' ? ` ${finding.why.difference.kind}` : ''}`]));
const failuresOf = async (pdf: Uint8Array): Promise<string[]> => failing(await verifyStatement(pdf));

const earlierHeadAt = (older: number, newer: number, statementNumber: string): EarlierHead => ({
  statementNumber,
  ...headAt(older),
  proof: (consistencyProof({ olderSize: older, leafHashes: leaves.slice(0, newer) }) ?? []).map(hex),
});

it('finds everything in order, and says what it says', async () => {
  const verdict = await verifyStatement(statement);
  expect(failing(verdict)).toEqual([]);
  expect(holdsWhole(verdict)).toBe(true);
  expect(verdict.findings.map(({ check }) => check)).toEqual(['signature', 'whole-file', 'attachment', 'digest', 'figures', 'page', 'earlier-head']);
  expect(verdict.statement).toMatchObject({ number: 'T-2026-000001', head: { size: 9 }, document: { payableMinor: expect.any(BigInt) as bigint } });
  expect(verdict.signature?.signerName).toBe('Harbour Lane Amusements');
  expect(verdict.findings.map((finding) => sentenceOf(finding, { isFirst: true, words: verifierWordsOf('en') })).at(-1)).toMatch(/no statement before it/);
});

it.each([['de-DE', 'A4'], ['es-MX', 'Letter'], ['fr-CA', 'Letter']] as const)('sets the page again in the language that the file names: %s on %s', async (locale, paper) => {
  expect(await failuresOf(await statementOf({ facts: { locale, paper } }))).toEqual([]);
});

it('sets the chart and the code again from what is attached, and catches either when it is another', async () => {
  const recent = [{ firstDay: localDate('2025-12-01'), lastDay: localDate('2025-12-31'), takingsMinor: 90_000n, payableMinor: 30_000n }];
  const facts = { recent, verificationAddress: 'https://ledger.example/verifier.html', standing: { operatorId: '0189a000-0000-7000-8000-00000000000a', salt: 'ab'.repeat(16) } };
  const verdict = await verifyStatement(await statementOf({ facts }));
  expect(failing(verdict)).toEqual([]);
  expect(verdict.statement?.standingQuestion).toMatch(/^0189a00000007000800000000000000a\.[0-9a-f]{64}$/);
  const page = { recent: [{ firstDay: '2025-12-01', lastDay: '2025-12-31', takingsMinor: '90001', payableMinor: '30000' }] };
  expect(await failuresOf(await statementOf({ facts, attachedPage: page }))).toEqual(['page page-differs object-differs']);
  expect(await failuresOf(await statementOf({ facts, attachedPage: { verificationAddress: 'https://elsewhere.example/verifier.html' } }))).toEqual(['page page-differs object-differs']);
});

/** The file with its signature taken out and the place for it left. */
function blanked(pdf: Buffer): Buffer {
  const located = locateSignature(pdf);
  if (!located.ok) throw new Error(located.problem);
  return Buffer.from(pdf).fill('0', located.hole.start + 1, located.hole.end - 1);
}

describe('a file that somebody changed', () => {
  it('is found out by one byte in any object', async () => {
    const parts = partsOf(statement);
    if ('at' in parts) throw new Error(`unreadable at ${parts.at}`);
    const places = parts.objects.map(({ offset, body, stream }) => offset + 12 + (stream === undefined ? Math.trunc(body.length / 2) : body.length + 12));
    // All objects but those of the tagged structure, of which there are hundreds alike: every twenty-fifth of these.
    const chosen = parts.objects.flatMap(({ body }, index) => (body.includes('/S /') && index % 25 !== 0 ? [] : [places[index] ?? 0]));
    expect(chosen.length).toBeGreaterThan(25);
    for (const place of chosen) {
      const changed = Buffer.from(statement);
      changed[place] = (changed[place] ?? 0) ^ 1;
      expect((await failuresOf(changed))[0]).toMatch(/^signature /);
    }
  });

  it.each([
    ['a line after its end', (pdf: Buffer) => Buffer.concat([pdf, Buffer.from('% more\n')]), ['whole-file bytes-outside-the-signature', 'page page-differs not-as-written']],
    ['a later revision', (pdf: Buffer) => Buffer.concat([pdf, Buffer.from('900 0 obj\n<<\n>>\nendobj\nxref\n0 1\n0000000000 65535 f \ntrailer\n<<\n/Size 1\n>>\nstartxref\n9\n%%EOF\n')]), ['whole-file bytes-outside-the-signature', 'page page-differs not-as-written']],
    ['no signature', (pdf: Buffer) => Buffer.from(pdf.toString('latin1').replace('/ByteRange', '/BiteRange'), 'latin1'), ['signature no-signature', 'whole-file attachment-needed', 'page page-differs object-differs']],
    ['a signature blanked out', blanked, ['signature no-signature', 'whole-file attachment-needed']],
    ['a second signature', (pdf: Buffer) => Buffer.concat([pdf, Buffer.from('\n/ByteRange [0 10 20 30]\n')]), ['signature no-signature', 'whole-file attachment-needed', 'page page-differs not-as-written']],
    ['its second half', (pdf: Buffer) => pdf.subarray(0, pdf.length / 2), ['signature no-signature', 'whole-file attachment-needed', 'page page-differs not-as-written']],
    ['no PDF at all', () => Buffer.from('a letter'), ['signature no-signature', 'whole-file attachment-needed', 'attachment nothing-attached', 'digest attachment-needed', 'figures attachment-needed', 'page attachment-needed', 'earlier-head attachment-needed']],
  ])('%s is named', async (_, change, expected) => {
    expect(await failuresOf(change(statement))).toEqual(expected);
  });
});

describe('an operator who cheats and signs it', () => {
  /** The file with one thing replaced before it is signed, at the same length, so that every place in it stays right. */
  const resigned = async (change: (text: string) => string): Promise<Buffer> => {
    const located = locateSignature(statement);
    if (!located.ok) throw new Error(located.problem);
    const changed = Buffer.from(change(statement.toString('latin1')), 'latin1');
    expect(changed.length).toBe(statement.length);
    expect(changed.equals(statement)).toBe(false);
    changed.fill('0', located.hole.start + 1, located.hole.end - 1);
    return (await signed(changed, signer)).signedPdf;
  };

  it('is caught when the page says other figures than are attached', async () => {
    const result = settle(inputs({ ...january.current, counts: january.current.counts.slice(1) }), { explain: false });
    const swapped = await statementOf({ change: (settlement) => ({ ...settlement, result: encodeResult(result) }) });
    const verdict = await verifyStatement(swapped);
    expect(failing(verdict)).toEqual(['figures figures-differ', 'page page-differs object-differs']);
    const said = verdict.findings.filter(({ check }) => check === 'figures').map((finding) => sentenceOf(finding, { isFirst: true, words: verifierWordsOf('en') }));
    expect(said).toEqual(['Computed again here, the figures come out otherwise: A, line 1; All machines, line 3; Net takings, line 4; Tax: Part 1, line 5; Tax: Part 2, line 6.']);
  });

  it('is caught when the attached counts are not those of the result', async () => {
    const fewer = encodeInputs({ ...january, current: { ...january.current, counts: january.current.counts.slice(1) } });
    expect(await failuresOf(await statementOf({ change: (settlement) => ({ ...settlement, inputs: fewer }) }))).toContain('figures figures-differ');
  });

  it('is caught when more is attached than a statement carries, or another number', async () => {
    expect(await failuresOf(await statementOf({ change: (settlement) => ({ ...settlement, note: 'and more' }) }))).toContain('attachment not-our-attachment');
    expect(await failuresOf(await statementOf({ change: (settlement) => ({ ...settlement, number: 'T-2026-000002' }) }))).toContain('digest other-number');
  });

  it('is caught when the attachment of another statement lies in it', async () => {
    const another = await statementOf({ number: 'T-2026-000002', facts: { games: new Map([['m-A', 'Tin Garden']]) } });
    const verdict = await verifyStatement(await statementOf({ attachedFrom: another }));
    expect(failing(verdict)).toEqual(['page page-differs object-differs']);
  });

  it('is caught when the digest is another', async () => {
    const facts = { evidence: { headSize: 9, headRoot: headAt(9).root, settlementDigest: '0'.repeat(64) } };
    expect(await failuresOf(await statementOf({ facts }))).toEqual(['digest other-digest']);
  });

  it('is caught when names are swapped', async () => {
    const partyNames = new Map([[operator, 'Žižkov Hospitality'], [site, 'Harbour Lane Amusements']]);
    expect(await failuresOf(await statementOf({ facts: { partyNames } }))).toEqual(['digest other-names']);
  });

  it('is caught when bytes hide behind the end of a compressed stream', async () => {
    const parts = partsOf(statement);
    if ('at' in parts) throw new Error('unreadable');
    const page = parts.objects.find(({ body, stream }) => stream !== undefined && body.startsWith('<<\n/Length'));
    if (page?.stream === undefined) throw new Error('no page');
    const made = { ...page, stream: Buffer.concat([page.stream, Buffer.from('hidden')]) };
    const rebuilt = (object: typeof made): Buffer => {
      const before = Buffer.from(`1 0 obj\n<<\n/Length ${object.stream.length}\n/Filter /FlateDecode\n>>\nstream\n`);
      const body = Buffer.concat([before, object.stream, Buffer.from('\nendstream\nendobj\n')]);
      const start = Buffer.from('%PDF-1.7\n');
      const xref = start.length + body.length;
      return Buffer.concat([start, body, Buffer.from(`xref\n0 2\n0000000000 65535 f \n${String(start.length).padStart(10, '0')} 00000 n \ntrailer\n<<\n/Size 2\n>>\nstartxref\n${xref}\n%%EOF\n`)]);
    };
    const plain = rebuilt({ ...page, stream: Buffer.from(page.stream) });
    expect(await differenceOf({ found: plain, made: plain })).toBeUndefined();
    expect(await differenceOf({ found: rebuilt(made), made: plain })).toMatchObject({ kind: 'object-differs' });
  });

  it('is caught when the box of the page, an annotation or a link is changed', async () => {
    expect(await failuresOf(await resigned((text) => text.replace('/MediaBox [0 0 595', '/MediaBox [0 0 795')))).toEqual(['page page-differs object-differs']);
    expect(await failuresOf(await resigned((text) => text.replace('/Subtype /Widget', '/Subtype /Stamp ')))).toEqual(['page page-differs object-differs']);
    expect(await failuresOf(await resigned((text) => text.replace('/F 132', '/F 130')))).toEqual(['page page-differs object-differs']);
  });

  it('is caught when an object is slipped in between two', async () => {
    const parts = partsOf(statement);
    if ('at' in parts) throw new Error('unreadable');
    expect(await failuresOf(await resigned((text) => text.replace('\nendobj\n', '\nendobj%')))).toEqual(['page page-differs not-as-written']);
  });

  it('is caught when another operator signs', async () => {
    const other = await operatorSigner('Other Amusements');
    const located = locateSignature(statement);
    if (!located.ok) throw new Error(located.problem);
    const bare = Buffer.from(statement);
    bare.fill('0', located.hole.start + 1, located.hole.end - 1);
    const [own, theirs] = [await verifyStatement(statement), await verifyStatement((await signed(bare, other)).signedPdf)];
    // The file is sound; whose it is, the fingerprint given in print says.
    expect(theirs.signature?.certificateFingerprint).not.toBe(own.signature?.certificateFingerprint);
    expect(theirs.signature?.signerName).toBe('Other Amusements');
  });
});

describe('the log between statements', () => {
  it('is shown to have grown only, from one to the next', async () => {
    const [first, second, third] = await Promise.all([
      statementOf({ size: 9 }),
      statementOf({ number: 'T-2026-000002', size: 14, earlierHead: earlierHeadAt(9, 14, 'T-2026-000001') }),
      statementOf({ number: 'T-2026-000003', size: 23, earlierHead: earlierHeadAt(14, 23, 'T-2026-000002') }),
    ].map(async (made) => {
      const verdict = await verifyStatement(await made);
      expect(failing(verdict)).toEqual([]);
      if (verdict.statement === undefined) throw new Error('no statement');
      return verdict.statement;
    }));
    if (first === undefined || second === undefined || third === undefined) throw new Error('missing');
    expect(compareHeads(second, first)).toEqual({ kind: 'extends' });
    expect(compareHeads(second, third)).toEqual({ kind: 'extends' });
    expect(compareHeads(first, third)).toEqual({ kind: 'statement-between', statementNumber: 'T-2026-000002' });
    expect(compareHeads(first, { ...second, head: { ...second.head, root: new Uint8Array(32) } })).toEqual({ kind: 'does-not-extend' });
    expect(compareHeads(first, first)).toEqual({ kind: 'extends' });
    // Named as the one before, and not as it was printed.
    const forked = { ...second, earlierHead: second.earlierHead === undefined ? undefined : { ...second.earlierHead, size: 8 } };
    expect(compareHeads(first, forked)).toEqual({ kind: 'does-not-extend' });
    expect(compareHeads(first, { ...first, settlementDigest: '0'.repeat(64) })).toEqual({ kind: 'same-number' });
    expect(compareHeads(first, { ...second, earlierHead: undefined })).toEqual({ kind: 'nothing-to-compare' });
  });

  it('is compared with the statement that is named, among files that hold, for each signer apart', async () => {
    const files = [
      await statementOf({ size: 9 }),
      await statementOf({ number: 'B-2026-000001', size: 11 }),
      await statementOf({ number: 'T-2026-000002', size: 14, earlierHead: earlierHeadAt(9, 14, 'T-2026-000001') }),
    ];
    const verdicts = await Promise.all(files.map((file) => verifyStatement(file)));
    const pairs = (given: Verdict[]): string[] => comparisonsOf(given).map(({ older, newer, compared }) => `${older.number} ${newer.number} ${compared.kind}`);
    expect(pairs(verdicts)).toEqual(['T-2026-000001 B-2026-000001 nothing-to-compare', 'T-2026-000001 T-2026-000002 extends']);
    const broken = await verifyStatement(Buffer.concat([files[2] ?? Buffer.alloc(0), Buffer.from('%')]));
    expect(pairs([...verdicts.slice(0, 1), broken])).toEqual([]);
    expect(pairs([...verdicts.slice(0, 1), ...verdicts.slice(0, 1)])).toEqual([]);
  });

  it('is found rewritten by the statement itself', async () => {
    const earlierHead = { ...earlierHeadAt(9, 14, 'T-2026-000001'), root: headAt(8).root };
    expect(await failuresOf(await statementOf({ size: 14, earlierHead }))).toEqual(['earlier-head proof-does-not-hold']);
  });
});

it('says of a statement by later rules that it cannot tell, not that it is wrong', async () => {
  const later = await verifyStatement(
    await statementOf({
      change: (settlement) => ({ ...settlement, result: { ...(settlement['result'] as Record<string, CanonicalValue>), engineVersion: 99 } }),
      pageVersion: 99,
    }),
  );
  expect(later.findings.filter(({ holds }) => holds !== true)).toEqual([
    { check: 'figures', holds: 'unknown', why: { code: 'engine-unknown', version: 99 } },
    { check: 'page', holds: 'unknown', why: { code: 'page-unknown', version: 99 } },
  ]);
  expect(holdsWhole(later)).toBe(false);
});
