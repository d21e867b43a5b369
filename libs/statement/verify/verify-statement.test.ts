import { type CanonicalValue } from '#domain/evidence/canonical-json';
import { encodeInputs, encodeResult } from '#contracts/settlement-document';
import { localDate } from '#domain/calendar/local-date';
import { settle } from '#domain/settlement/settle';
import { attachedJson } from '#statement/attached-figures';
import { locateSignature, type SignatureHole } from '#statement/sign/byte-range';
import { checkSignature } from '#statement/sign/check-signature';
import type { Signer } from '#statement/sign/signer';
import { compareHeads, comparisonsOf } from '#statement/verify/compare-heads';
import { differenceOf, partsOf, type PdfObject } from '#statement/verify/pdf-objects';
import { holdsWhole, verifyStatement, type CheckName, type Verdict } from '#statement/verify/verify-statement';
import { sentenceOf, verifierWordsOf } from '#statement/verify/words';
import { inputs, operator, site } from '#tests/support/settlement-inputs';
import { signedAgain } from '#tests/support/signed-again';
import { operatorSigner, signed } from '#tests/support/signed-pdf';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { deflateSync, inflateSync } from 'node:zlib';
import { earlierHeadAt, headAt, january, statementOf, usualSigner, type Given } from '#tests/support/january-statement';

let signer: Signer;
let statement: Buffer;
beforeAll(async () => {
  signer = await usualSigner();
  statement = await statementOf({});
});

const failing = ({ findings }: Verdict): string[] =>
  findings.flatMap((finding) => (finding.holds === true ? [] : [`${finding.check} ${finding.why.code}${finding.why.code === 'page-differs' ? ` ${finding.why.difference.kind}` : ''}`]));
const failuresOf = async (pdf: Uint8Array): Promise<string[]> => failing(await verifyStatement(pdf));

it('takes nothing signed under a certificate that had run out at the time of issue that the statement gives', async () => {
  const by = await operatorSigner(undefined, { validFrom: '2010-01-01', validTo: '2011-01-01' });
  expect(await failuresOf(await statementOf({ by }))).toEqual(['signature certificate-not-valid-then']);
});

it('takes what was signed later than it was issued, under a certificate that began in between', async () => {
  const by = await operatorSigner(undefined, { validFrom: '2026-02-03', validTo: '2036-01-01' });
  expect(await failuresOf(await statementOf({ by }))).toEqual([]);
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

function holeOf(pdf: Buffer): SignatureHole {
  const located = locateSignature(pdf);
  if (!located.ok) throw new Error(located.problem);
  return located.hole;
}

/** The file with its signature taken out and the place for it left. */
function blanked(pdf: Buffer): Buffer {
  const { start, end } = holeOf(pdf);
  return Buffer.from(pdf).fill('0', start + 1, end - 1);
}

/** The file written anew without the object of its signature and without what points to it. */
function withoutSignature(pdf: Buffer): Buffer {
  const parts = partsOf(pdf);
  if ('at' in parts) throw new Error(`unreadable at ${parts.at}`);
  const signature = parts.objects.find(({ body }) => body.includes('/Type /Sig\n'));
  const kept = parts.objects.filter((object) => object !== signature);
  const offsets = new Map<number, number>();
  let written = Buffer.from(parts.header, 'latin1');
  for (const { id, body, stream } of kept) {
    offsets.set(id, written.length);
    const unsigned = body.replace(`\n/V ${signature?.id ?? 0} 0 R`, '').replace('/SigFlags 3', '/SigFlags 0');
    written = Buffer.concat([written, Buffer.from(`${id} 0 obj\n${unsigned}`, 'latin1'), ...(stream === undefined ? [] : [Buffer.from('\nstream\n'), stream, Buffer.from('\nendstream')]), Buffer.from('\nendobj\n')]);
  }
  const entries = Array.from({ length: parts.objects.length }, (_, index) => {
    const offset = offsets.get(index + 1);
    return offset === undefined ? '0000000000 00000 f ' : `${String(offset).padStart(10, '0')} 00000 n `;
  });
  const table = ['xref', `0 ${entries.length + 1}`, '0000000000 65535 f ', ...entries, 'trailer', parts.trailer, 'startxref', String(written.length), '%%EOF', ''].join('\n');
  return Buffer.concat([written, Buffer.from(table, 'latin1')]);
}

/** The file under the signature of another one. */
function withSignatureOf(pdf: Buffer, other: Buffer): Buffer {
  const [own, theirs] = [holeOf(pdf), holeOf(other)];
  const changed = Buffer.from(pdf);
  other.copy(changed, own.start, theirs.start, theirs.end);
  return changed;
}

/** An object that hides in a compressed object stream (ISO 32000-1 7.5.7), appended with a cross-reference stream of its own. */
function withHiddenSignature(pdf: Buffer): Buffer {
  const hidden = deflateSync('900 0 << /Type /Sig /Filter /Adobe.PPKLite /ByteRange [0 10 20 30] /Contents <00> >>');
  return Buffer.concat([pdf, Buffer.from(`901 0 obj\n<< /Type /ObjStm /N 1 /First 6 /Filter /FlateDecode /Length ${hidden.length} >>\nstream\n`), hidden, Buffer.from('\nendstream\nendobj\nstartxref\n9\n%%EOF\n')]);
}

/** What `other` has attached, in place of what `pdf` has, with every place in the file as it was. */
async function withAttachmentOf(pdf: Buffer, other: Buffer): Promise<Buffer> {
  const [own, theirs] = [attachmentOf(pdf), attachmentOf(other)];
  const room = own.stream?.length ?? 0;
  const swapped = deflateSync(inflateSync(theirs.stream ?? Buffer.alloc(0)), { level: 9 });
  // Bytes behind the end of a compressed stream are passed over by whoever inflates it.
  if (swapped.length > room) throw new Error(`${swapped.length} bytes do not fit into ${room}`);
  const changed = Buffer.from(pdf);
  changed.set(Buffer.concat([swapped, Buffer.alloc(room - swapped.length)]), pdf.indexOf(own.stream ?? Buffer.alloc(0)));
  expect(await attachedJson(changed)).toEqual(await attachedJson(other));
  return changed;
}

function attachmentOf(pdf: Buffer): PdfObject {
  const parts = partsOf(pdf);
  const found = 'at' in parts ? undefined : parts.objects.find(({ body }) => body.includes('/Type /EmbeddedFile'));
  if (found === undefined) throw new Error('nothing attached');
  return found;
}

describe('a file that somebody changed', () => {
  it('is found out by one byte in each object', async () => {
    const parts = partsOf(statement);
    if ('at' in parts) throw new Error(`unreadable at ${parts.at}`);
    expect(parts.objects.length).toBeGreaterThan(150);
    const hole = holeOf(statement);
    for (const { id, offset, body, stream } of parts.objects) {
      const start = `${id} 0 obj\n`.length;
      const place = offset + start + (stream === undefined ? Math.trunc(body.length / 2) : body.length + '\nstream\n'.length + Math.trunc(stream.length / 2));
      const changed = Buffer.from(statement);
      changed[place] = (changed[place] ?? 0) ^ 1;
      const check = await checkSignature(changed);
      // In the middle of the signature's own object lie the zeros that fill its room: they are held to be zeros.
      const isOwn = place > hole.start && place < hole.end;
      if (isOwn) expect(check).toEqual({ found: false, problem: 'signature-unreadable' });
      else expect(check).toMatchObject({ found: true, report: { signatureValid: false } });
    }
  });

  const added = { 'whole-file': 'Something was added to the file after it was signed', page: 'The file is not as the program writes it from byte' };
  const unsigned = { signature: 'The file is not signed', 'whole-file': 'Cannot be told' };
  it.each<[string, (pdf: Buffer) => Buffer | Promise<Buffer>, { readonly [check in CheckName]?: string }]>([
    ['a byte of what is printed', (pdf) => Buffer.from(pdf.toString('latin1').replace('/MediaBox [0 0 595', '/MediaBox [0 0 695'), 'latin1'), { signature: 'The signature does not hold', page: 'Set again from the figures, the page is another: the parts that hold the page together differ' }],
    ['a line after its end', (pdf) => Buffer.concat([pdf, Buffer.from('% more\n')]), added],
    ['a later revision', (pdf) => Buffer.concat([pdf, Buffer.from('900 0 obj\n<<\n>>\nendobj\nxref\n0 1\n0000000000 65535 f \ntrailer\n<<\n/Size 1\n>>\nstartxref\n9\n%%EOF\n')]), added],
    ['a second signature by another key', async (pdf) => signedAgain(pdf, await operatorSigner('Other Amusements')), { ...added, signature: 'The file carries more than one signature: it was signed again' }],
    ['a second signature by the same key', (pdf) => signedAgain(pdf, signer), { ...added, signature: 'The file carries more than one signature: it was signed again' }],
    ['a second signature in a compressed stream', withHiddenSignature, added],
    ['the attachment of another statement', async (pdf) => withAttachmentOf(pdf, await statementOf({ number: 'T-1', facts: { games: new Map() } })), { signature: 'The signature does not hold', page: 'the page is another' }],
    ['its signature dictionary broken', (pdf) => Buffer.from(pdf.toString('latin1').replace('/ByteRange', '/BiteRange'), 'latin1'), { ...unsigned, page: 'the place of the signature differs' }],
    ['its signature stripped and the field left', blanked, { signature: 'The signature cannot be read', 'whole-file': 'Cannot be told' }],
    ['its signature stripped with its object', withoutSignature, { ...unsigned, page: 'The file is not as the program writes it from byte' }],
    ['another operator’s signature, taken from their statement', async (pdf) => withSignatureOf(pdf, await statementOf({ by: await operatorSigner('Other Amusements'), number: 'B-2026-000001' })), { signature: 'The signature does not hold' }],
    ['its second half', (pdf) => pdf.subarray(0, pdf.length / 2), { ...unsigned, signature: 'The signature does not say that it covers the whole file', page: 'The file is not as the program writes it from byte' }],
    ['no PDF at all', () => Buffer.from('a letter'), { ...unsigned, attachment: 'No figures are attached', digest: 'Cannot be told', figures: 'Cannot be told', page: 'Cannot be told', 'earlier-head': 'Cannot be told' }],
  ])('%s is named', async (_, change, expected) => {
    const verdict = await verifyStatement(await change(statement));
    expect(holdsWhole(verdict)).toBe(false);
    for (const finding of verdict.findings) {
      const sentence = sentenceOf(finding, { isFirst: true, words: verifierWordsOf('en') });
      const part = expected[finding.check];
      if (part === undefined) expect(`${finding.check} ${String(finding.holds)}`).toBe(`${finding.check} true`);
      else expect(sentence).toContain(part);
    }
  });
});

describe('an operator who cheats and signs it', () => {
  /** The file with one thing replaced before it is signed, at the same length, so that every place in it stays right. */
  const resigned = async (change: (text: string) => string): Promise<Buffer> => {
    const changed = Buffer.from(change(statement.toString('latin1')), 'latin1');
    expect(changed.length).toBe(statement.length);
    expect(changed.equals(statement)).toBe(false);
    return (await signed(blanked(changed), signer)).signedPdf;
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

  it('is not called wrong when it is newer than the verifier, and never held to be in order either', async () => {
    const verdict = await verifyStatement(await statementOf({ format: 4 }));
    expect(holdsWhole(verdict)).toBe(false);
    expect(verdict.findings.map(({ check, holds }) => `${check} ${String(holds)}`)).toEqual(['signature true', 'whole-file true', 'attachment unknown', 'digest unknown', 'figures unknown', 'page unknown', 'earlier-head unknown']);
    const finding = verdict.findings[2];
    if (finding === undefined) throw new Error('no finding about the attachment');
    expect(['en', 'de', 'es'].map((language) => sentenceOf(finding, { isFirst: true, words: verifierWordsOf(language) }))).toEqual([expect.stringContaining('newer than this page'), expect.stringContaining('neuer als diese Prüfseite'), expect.stringContaining('más reciente que esta página')]);
    expect(await failuresOf(await statementOf({ format: 0 }))).toContain('attachment not-our-attachment');
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
    const [own, theirs] = [await verifyStatement(statement), await verifyStatement((await signed(blanked(statement), other)).signedPdf)];
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

  it('is compared across a change of the certificate, by the operator that the statements name', async () => {
    const standing = (operatorId: string) => ({ facts: { standing: { operatorId, salt: '00'.repeat(16) } } });
    const [ours, theirs] = ['6f1b3a52-8c1d-4f6a-9d5e-2a7b8c9d0e1f', '0a9b8c7d-6e5f-4a3b-9c2d-1e0f9a8b7c6d'].map(standing);
    const other = await operatorSigner();
    const verdicts = async (...given: Given[]) => Promise.all(given.map(async (each) => verifyStatement(await statementOf(each))));
    const kinds = async (...given: Given[]) => comparisonsOf(await verdicts(...given)).map(({ older, newer, compared }) => `${older.number} ${newer.number} ${compared.kind}`);
    const first: Given = { ...ours, size: 9 };
    const second: Given = { by: other, number: 'T-2026-000002', size: 14, earlierHead: earlierHeadAt(9, 14, 'T-2026-000001') };
    expect(await kinds(first, { ...second, ...ours })).toEqual(['T-2026-000001 T-2026-000002 extends']);
    // The log was made anew when the key was: what it held before is not what it holds now.
    expect(await kinds({ ...first, size: 8 }, { ...second, ...ours })).toEqual(['T-2026-000001 T-2026-000002 does-not-extend']);
    expect(await kinds(first, { ...ours, by: other, size: 14 })).toEqual(['T-2026-000001 T-2026-000001 same-number']);
    // Files from before statements named their operator: the number that the newer one gives leads to the older one.
    expect(await kinds({ size: 9 }, second)).toEqual(['T-2026-000001 T-2026-000002 extends']);
    expect(await kinds(first, { ...second, ...theirs })).toEqual(['T-2026-000001 T-2026-000002 other-log']);
  });

  it('is found rewritten by the statement itself', async () => {
    const earlierHead = { ...earlierHeadAt(9, 14, 'T-2026-000001'), root: headAt(8).root };
    expect(await failuresOf(await statementOf({ size: 14, earlierHead }))).toEqual(['earlier-head proof-does-not-hold']);
  });
});

it('puts its cautions together again, and catches one that was left out or made up', async () => {
  const facts = { notRead: new Set(['m-A']) };
  const verdict = await verifyStatement(await statementOf({ facts }));
  expect(failing(verdict)).toEqual([]);
  expect(verdict.statement?.document.cautions).toEqual([expect.stringContaining('no tax advice'), expect.stringContaining('without a meter reading: A')]);
  const [tax = ''] = verdict.statement?.document.cautions ?? [];
  expect(await failuresOf(await statementOf({ facts, attachedPage: { cautions: [tax] } }))).toEqual(['page page-differs object-differs']);
  expect(await failuresOf(await statementOf({ facts, attachedPage: { cautions: [tax, 'The site owes the operator 100.00.'] } }))).toEqual(['page page-differs object-differs']);
});

it('sets meter readings again from what is attached, and catches one that is another', async () => {
  const readings = [{ machineId: 'm-A', meter: 'Coins in', beforeValue: 100n, lastValue: 250n, readOn: localDate('2026-01-15') }];
  const verdict = await verifyStatement(await statementOf({ facts: { readings } }));
  expect(failing(verdict)).toEqual([]);
  expect(verdict.statement?.document.meters).toEqual([{ machineTag: 'A', meter: 'Coins in', beforeValue: 100n, lastValue: 250n, readOn: '2026-01-15' }]);
  const attachedPage = { readings: [{ machineId: 'm-A', meter: 'Coins in', beforeValue: '100', lastValue: '251', readOn: '2026-01-15' }] };
  expect(await failuresOf(await statementOf({ facts: { readings }, attachedPage }))).toEqual(['page page-differs object-differs']);
});

it.each(['en-US', 'de-DE'])('still checks whole what was issued when the page was set without cautions: %s', async (locale) => {
  const verdict = await verifyStatement(readFileSync(join(__dirname, '../../../tests/published/statements', `page-2-${locale}.pdf`)));
  expect(failing(verdict)).toEqual([]);
  expect(verdict.statement?.document.cautions).toEqual([]);
});

it.each(['en-US', 'de-DE'])('still checks whole what was issued before a page said whose a debt is: %s', async (locale) => {
  const pdf = readFileSync(join(__dirname, '../../../tests/published/statements', `page-3-${locale}.pdf`));
  expect(await failuresOf(pdf)).toEqual([]);
  // From then on cautions follow from the settlement, whatever is attached.
  const { cautions } = (await verifyStatement(pdf)).statement?.document ?? {};
  expect(cautions).toEqual(expect.arrayContaining([expect.stringMatching(/tax advice|Steuerberatung/)]));
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
