import { attachedFigures } from '#statement/attached-figures';
import { localDate } from '#domain/calendar/local-date';
import type { StatementDocument } from '#statement/document';
import { contentOf } from '#statement/page/content';
import { checkSignature, isSound } from '#statement/sign/check-signature';
import { sha256Hex } from '#statement/sign/sign-pdf';
import { renderStatement, signStatement } from '#statement/statement';
import { describeWithProgram, runProgram } from '#tests/support/outside-program';
import { sampleStatement } from '#tests/support/sample-statement';
import { operatorSigner } from '#tests/support/signed-pdf';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const pageCount = (pdf: Buffer): number => pdf.toString('latin1').match(/\/Type \/Page\n/g)?.length ?? 0;

/** Terms in as many sentences as the usual ones take, and a period before of which one count came late. */
function withLateChange(options: { machines: number }): StatementDocument {
  const sample = sampleStatement(options);
  const labels = ['Cash counted, M-1040', 'Net takings', 'State sales tax', 'County surtax', 'Left to share', 'Share of Kettle Hospitality LLC', 'Share of Harbour Lane Amusements'];
  const change = {
    firstDay: localDate('2025-04-01'), lastDay: localDate('2025-04-30'), statementNumber: '2025-000098', reason: 'The count of April 28 came late.',
    lines: labels.map((label) => ({ label, issuedMinor: 1_000n, nowMinor: 1_250n })), forPayeeMinor: 125n,
  };
  return {
    ...sample,
    terms: Array.from({ length: 8 }, (_, index) => `Sentence ${index + 1} of what was agreed.`),
    earlierPeriods: [change],
    payable: [...sample.payable, { kind: 'earlier-period', amountMinor: 125n }],
    payableMinor: sample.payableMinor + 125n,
    dueMinor: sample.dueMinor + 125n,
  };
}

describe('renderStatement', () => {
  it('gives the same bytes for the same statement, whatever was rendered before', async () => {
    const first = await renderStatement(sampleStatement());
    await renderStatement({ ...sampleStatement(), payee: { name: 'Žižkov Œuvre Ψ', addressLines: [] } });
    const second = await renderStatement(sampleStatement());
    expect(second.unsignedDigest).toBe(first.unsignedDigest);
    expect(second.unsignedPdf).toEqual(first.unsignedPdf);
    expect(first.unsignedDigest).toBe(sha256Hex(first.unsignedPdf));
  });

  it('gives other bytes for any other figure or instant', async () => {
    const sample = sampleStatement();
    const variants = [sample, { ...sample, issuedAt: '2025-06-02T16:30:01Z' }, { ...sample, evidence: { ...sample.evidence, headSize: 1 } }, sampleStatement({ scale: 2n })];
    const digests = await Promise.all(variants.map(async (variant) => (await renderStatement(variant)).unsignedDigest));
    expect(new Set(digests).size).toBe(variants.length);
  });

  it('is signed into a file that is sound, and whose unsigned digest is the one returned', async () => {
    const { unsignedPdf, unsignedDigest } = await renderStatement(sampleStatement());
    const signed = await signStatement({ unsignedPdf, signer: await operatorSigner() });
    if (!signed.ok) throw new Error(signed.problem);
    const check = await checkSignature(signed.signedPdf);
    if (!check.found) throw new Error(check.problem);
    expect(isSound(check.report)).toBe(true);
    expect(check.report.unsignedDigest).toBe(unsignedDigest);
  });

  it('keeps as much room for the signature as is asked for', async () => {
    const usual = await renderStatement(sampleStatement());
    const wide = await renderStatement(sampleStatement(), { signatureRoomBytes: 8192 });
    expect(wide.unsignedPdf.length - usual.unsignedPdf.length).toBe(8192);
  });

  it('puts ten machines on one page, on either paper', async () => {
    expect(pageCount((await renderStatement(sampleStatement())).unsignedPdf)).toBe(1);
    const letter = { ...sampleStatement({ paper: 'Letter' }), terms: ['All that the parties agreed on, said in plain sentences. '.repeat(12)] };
    expect(pageCount((await renderStatement(letter)).unsignedPdf)).toBe(1);
  });

  it('sets a page closer rather than leave the next one nearly empty', async () => {
    expect(pageCount((await renderStatement(withLateChange({ machines: 4 }))).unsignedPdf)).toBe(1);
    expect(pageCount((await renderStatement(sampleStatement({ machines: 13 }))).unsignedPdf)).toBe(1);
  });

  it('attaches head, digest and settlement as they stand in the document', async () => {
    const attached = { settlement: { engineVersion: 1, takings: [{ machine: 'M-1', amount: '12.50' }] }, page: { version: 1 }, earlierHead: null };
    const { unsignedPdf } = await renderStatement({ ...sampleStatement(), attached });
    const { evidence } = sampleStatement();
    expect(await attachedFigures(unsignedPdf)).toEqual({
      format: 2,
      statementNumber: '2025-000123',
      evidenceHead: { size: evidence.headSize, root: evidence.headRoot },
      settlementDigest: evidence.settlementDigest,
      ...attached,
    });
  });

  it('is tagged, speaks its language, claims PDF/A-3b, and says nothing about the site outside its pages', async () => {
    const text = (await renderStatement(sampleStatement())).unsignedPdf.toString('latin1');
    expect(text).toMatch(/^%PDF-1\.7\n/);
    expect(text).toContain('/Marked true');
    expect(text).toContain('/Lang (en-US)');
    expect(text).toContain('(Settlement statement 2025-000123)');
    expect(text).not.toContain('Kettle');
    expect(text).not.toContain('NeedAppearances');
  });

  it('does not render what does not add up', async () => {
    await expect(renderStatement({ ...sampleStatement(), dueMinor: 1n })).rejects.toThrow('does not add up: amount due');
  });

  it('does not render a name with a letter that would vanish', async () => {
    const document = { ...sampleStatement(), site: { name: 'バー', addressLines: [], code: 'B' } };
    await expect(renderStatement(document)).rejects.toThrow('no font covers: バ ー');
  });

  it('takes no statement number that metadata would have to escape', async () => {
    await expect(renderStatement({ ...sampleStatement(), statementNumber: '2025<1>' })).rejects.toThrow('unfit statement number');
  });
});

describe('attachedFigures', () => {
  it.each([
    ['no PDF', 'nothing'],
    ['many beginnings and no end', '/Type /EmbeddedFile\n/Length 1\n'.repeat(20_000)],
    ['an attachment that is cut off', '/Type /EmbeddedFile\n/Length 10\n>>\nstream\nx'],
  ])('finds none in %s', async (_, text) => {
    expect(await attachedFigures(Buffer.from(text))).toBeUndefined();
  });
});

/** Texts of a PDF with its columns, and how the statement's own content would read. */
describeWithProgram('pdftotext', 'poppler-utils', () => {
  let folder: string;
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'statement-'));
  });
  afterAll(() => rmSync(folder, { recursive: true }));

  /** A PDF's text does not tell which space keeps words on one line. */
  const spaced = (text: string): string => text.replaceAll(/[ \u00a0\n]+/g, ' ');

  async function pagesOf(document: ReturnType<typeof sampleStatement>): Promise<string[]> {
    writeFileSync(join(folder, 'statement.pdf'), (await renderStatement(document)).unsignedPdf);
    const { stdout } = runProgram('pdftotext', ['-layout', 'statement.pdf', '-'], { cwd: folder });
    return stdout.split('\f').slice(0, -1).map((page) => spaced(page));
  }

  it.each([
    ['one machine', sampleStatement({ machines: 1 })],
    ['ten machines, Letter', sampleStatement({ paper: 'Letter' })],
    ['a currency without decimals', sampleStatement({ currency: 'JPY', scale: 100n })],
    ['a currency with three', sampleStatement({ currency: 'KWD', scale: 1999n })],
    ['a hundred machines', sampleStatement({ machines: 100 })],
  ])('reads every row as it was meant: %s', async (_, document) => {
    const text = (await pagesOf(document)).join(' ');
    for (const { title, rows } of contentOf(document).sections) {
      expect(text).toContain(title);
      for (const { line, cells } of rows) expect(text).toContain(spaced([line, ...cells.filter((cell) => cell !== '')].join(' ')));
    }
  });

  it('repeats heads and carries totals over every page break, and numbers the pages', async () => {
    const document = sampleStatement({ machines: 100 });
    const pages = await pagesOf(document);
    const carried = contentOf(document).sections[0]?.carried;
    expect(pages.length).toBe(3);
    pages.forEach((page, index) => {
      expect(page).toContain(`Page ${index + 1} of 3`);
      expect(page).toContain('Line Machine Game Coins Notes Refunds Net takings');
    });
    const listed = pages[0]?.match(/ M-\d+ /g)?.length ?? 0;
    const amounts = carried?.(listed).slice(1).join(' ');
    expect(pages[0]).toContain(`Carried forward ${amounts}`);
    expect(pages[1]).toContain(`Brought forward ${amounts}`);
  });

  it('never leaves the proof alone on the last page', async () => {
    const counts: number[] = [];
    for (let machines = 5; machines <= 14; machines += 1) {
      const pages = await pagesOf(withLateChange({ machines }));
      counts.push(pages.length);
      expect(pages.at(-1)).toContain('What you get');
      expect(pages.at(-1)).toContain('Log head');
    }
    // A few machines take one page, more take two, and none a third for what is left over.
    expect([...new Set(counts)]).toEqual([1, 2]);
  });

  it('begins no line with a percent sign', async () => {
    const terms = Array.from({ length: 40 }, (_, index) => `${'i'.repeat(index)} ${'of what is left '.repeat(9)}the site gets 40 %, the operator gets 60 %.`);
    writeFileSync(join(folder, 'statement.pdf'), (await renderStatement({ ...sampleStatement(), terms })).unsignedPdf);
    const { stdout } = runProgram('pdftotext', ['-layout', 'statement.pdf', '-'], { cwd: folder });
    expect(stdout).not.toMatch(/^\s*%/m);
  });

  it('breaks long names instead of running them into each other', async () => {
    const name = 'Gaststättenbetriebsgesellschaft am Ende der sehr langen Straße Κωνσταντινουπόλεως';
    const pages = await pagesOf({ ...sampleStatement(), payee: { name, addressLines: [] } });
    for (const word of name.split(' ')) expect(pages[0]).toContain(word);
  });
});

describeWithProgram('qpdf', 'qpdf', () => {
  it('finds nothing wrong in a statement of several pages', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'statement-'));
    writeFileSync(join(folder, 'statement.pdf'), (await renderStatement(sampleStatement({ machines: 60 }))).unsignedPdf);
    const run = runProgram('qpdf', ['--check', 'statement.pdf'], { cwd: folder });
    rmSync(folder, { recursive: true });
    expect(run).toMatchObject({ exitCode: 0, stderr: '' });
  });
});
