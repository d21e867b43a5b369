/** A statement from an empty set-up to the signed file, as other people's programs see it. */
import { locateSignature } from '#statement/sign/byte-range';
import type { Settlement } from '#contracts/settlement';
import { attachedFigures } from '#statement/attached-figures';
import { canonicalJson, type CanonicalValue } from '#domain/evidence/canonical-json';
import { verifyFiles } from '#command/verify';
import type { StatementAttachment } from '#contracts/statement-attachment';
import { standingQuestion } from '#statement/verify/standing-question';
import { verifyStatement } from '#statement/verify/verify-statement';
import { verifierWordsOf } from '#statement/verify/words';
import { startTestApi, type TestApi } from '#tests/support/api';
import { bringOne } from '#tests/api/samples/certificates';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment } from '#tests/support/collecting';
import { statementOf } from '#tests/support/january-statement';
import { describeWithProgram, runProgram } from '#tests/support/outside-program';
import { makeRunningSite } from '#tests/support/set-up';
import { stampingBy, startTimestampAuthority } from '#tests/support/timestamp-authority';
import { createHash, X509Certificate } from 'node:crypto';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

let api: TestApi;
let folder: string;
let file: Buffer;
/** The statement of the month before. */
let earlierFile: Buffer;
let settlement: Settlement;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'issued-statement-'));
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  const owner = api.operator.as('owner');
  const { headers } = await owner.get('/v1/operator').expect(200);
  const change = (verificationAddress: string) => owner.patch('/v1/operator', { verificationAddress, paymentDays: 14 }).set('If-Match', headers['etag'] ?? '');
  expect((await change('ledger.example').expect(400)).body).toMatchObject({ errors: [{ pointer: '#/verificationAddress' }] });
  await change('https://ledger.example/verifier.html').expect(200);
  const office = api.operator.as('bookkeeper');
  const { site, machine } = await makeRunningSite(office, { site: { name: 'Zum Łachenden Ωμέγα' } });
  await makeAcceptedCollection(office, site, [count(machine, '100.00', '0.00')], { happenedAt: moment('2026-03-10') });
  await issueMonth(api, (await closeMonth(api, '2026-03-01')).id);
  await makeAcceptedCollection(office, site, [count(machine, '50.00', '0.00')], { happenedAt: moment('2026-03-20') });
  await makeAcceptedCollection(office, site, [count(machine, '1234.50', '0.00')], { happenedAt: moment('2026-04-10') });
  await issueMonth(api, (await closeMonth(api, '2026-04-01')).id);
  settlement = await settlementOf(api, { siteId: site.id, startsOn: '2026-04-01' });
  const march = await settlementOf(api, { siteId: site.id, startsOn: '2026-03-01' });
  earlierFile = (await office.get(`/v1/settlements/${march.id}/statement`).expect(200)).body as Buffer;
  writeFileSync(join(folder, 'march.pdf'), earlierFile);
  file = (await office.get(`/v1/settlements/${settlement.id}/statement`).expect(200)).body as Buffer;
  writeFileSync(join(folder, 'statement.pdf'), file);
});
afterAll(async () => {
  rmSync(folder, { recursive: true });
  await api?.close();
});

it('carries the settlement whose digest it prints, and the head of the log before its batch', async () => {
  const figures = await attachedFigures(file);
  expect(figures).toMatchObject({ statementNumber: settlement.number, settlementDigest: settlement.digest });
  const document = canonicalJson(figures?.settlement as CanonicalValue);
  expect(createHash('sha256').update(document, 'utf8').digest('hex')).toBe(settlement.digest);
  // Two leaves for March's settlement were there: its number and its file.
  expect(figures?.evidenceHead.size).toBe(2);
  const { body } = await api.operator.as('auditor').get('/v1/evidence/consistency?from=2').expect(200);
  expect(body).toMatchObject({ older: { size: 2, root: figures?.evidenceHead.root }, newer: { size: 4 } });
});

it('lets its receiver compute every figure, set the page again and follow the log, with the files alone', async () => {
  const verdict = await verifyStatement(file);
  expect(verdict.findings.map(({ check, holds }) => `${check} ${String(holds)}`)).toEqual(
    ['signature', 'whole-file', 'attachment', 'digest', 'figures', 'page', 'earlier-head'].map((check) => `${check} true`),
  );
  const { lines, holds } = await verifyFiles([join(folder, 'statement.pdf'), join(folder, 'march.pdf'), '--fingerprint', verdict.signature?.certificateFingerprint ?? '']);
  expect(holds).toBe(true);
  expect(lines).toContain(`  Statement: ${settlement.number ?? ''}`);
  expect(lines.at(-1)).toMatch(/^All that the operator’s log held at .*-000001 lies unchanged in the log at .*-000002\.$/);
  expect((await verifyFiles([join(folder, 'march.pdf'), '--fingerprint', '00'.repeat(32)])).holds).toBe(false);
  writeFileSync(join(folder, 'changed.pdf'), Buffer.from(file.toString('latin1').replace('/MediaBox [0 0 595', '/MediaBox [0 0 695'), 'latin1'));
  const changed = await verifyFiles([join(folder, 'changed.pdf')]);
  expect(changed.holds).toBe(false);
  expect(changed.lines.filter((line) => line.includes('FAILS'))).toHaveLength(2);
  await expect(verifyFiles([])).rejects.toThrow('npm run verify');
  await expect(verifyFiles(['nowhere.pdf'])).rejects.toThrow('nowhere.pdf cannot be read');
  await expect(verifyFiles(['x.pdf', '--fingerprint', 'abc'])).rejects.toThrow('64 hexadecimal digits');
});

it('carries the period before for its chart, and the address at which it is checked as a code', async () => {
  const figures = (await attachedFigures(file)) as unknown as StatementAttachment;
  expect(figures.page.recent).toEqual([{ firstDay: '2026-03-01', lastDay: '2026-03-31', takingsMinor: '10000', payableMinor: '4000' }]);
  expect(figures.page.verificationAddress).toBe('https://ledger.example/verifier.html');
  expect(((await attachedFigures(earlierFile)) as unknown as StatementAttachment).page.recent).toEqual([]);
});

it('says what a receiver should know, and until when it is paid, on the page and in the file for machines', async () => {
  const { page } = (await attachedFigures(file)) as unknown as StatementAttachment;
  // Nobody read a meter at these counts; March was counted again after it was issued.
  expect(page.notRead).toHaveLength(1);
  expect(page.cautions).toEqual([
    expect.stringContaining('ask your tax authority or a licensed practitioner'),
    expect.stringMatching(/^Counted at least once without a meter reading: \S+\. /),
    expect.stringContaining('The statements of those periods stay as they were issued'),
  ]);
  expect(page.payment).toBe('By May 16, 2026 at the latest.');
});

it('is answered for without an account, by the digest that only the file gives, until and after it is reversed', async () => {
  const figures = (await attachedFigures(file)) as unknown as StatementAttachment;
  const question = standingQuestion(figures) ?? '';
  const unasked = { certificate: 'not-asked', revokedFrom: null };
  const ask = async (digest: string) => (await api.anonymous.get(`/v1/statements/standing?digest=${digest}`).expect(200)).body as object;
  const [operatorPart = '', digestPart = ''] = question.split('.');
  expect(await ask(question)).toEqual({ ...unasked, standing: 'in-force', reversedOn: null });
  // What can be known without the file tells nothing: the digest in the log, another salt, another operator, none at all.
  const unknown = { ...unasked, standing: 'unknown', reversedOn: null };
  expect(await ask(`${operatorPart}.${figures.settlementDigest}`)).toEqual(unknown);
  expect(await ask(standingQuestion({ ...figures, page: { ...figures.page, standing: { operatorId: api.operator.tenantId, salt: '0'.repeat(32) } } }) ?? '')).toEqual(unknown);
  expect(await ask(`${api.other.tenantId.replaceAll('-', '')}.${digestPart}`)).toEqual(unknown);
  expect(await ask(`${'0'.repeat(32)}.${digestPart}`)).toEqual(unknown);
  const wrong = await api.anonymous.get(`/v1/statements/standing?digest=${settlement.id}`).expect(400);
  expect(wrong.body).toMatchObject({ code: 'invalid-request', errors: [{ in: 'query', pointer: 'digest' }] });

  await api.operator.as('owner').post(`/v1/settlements/${settlement.id}/reversal`, { reason: 'Counted for the wrong site.' }).expect(200);
  expect(await ask(question)).toEqual({ ...unasked, standing: 'reversed', reversedOn: '2026-05-02' });
  expect(await ask(standingQuestion((await attachedFigures(earlierFile)) as unknown as StatementAttachment) ?? '')).toEqual({ ...unasked, standing: 'in-force', reversedOn: null });
});

/** The last test that signs or asks: after it the certificate of this file is revoked. */
it('keeps what was signed before, when its certificate is followed by another one or revoked, and says which statements are touched', async () => {
  const owner = api.operator.as('owner');
  const before = await verifyStatement(file);
  const certificate = before.signature?.certificateFingerprint ?? '';
  const digest = before.statement?.standingQuestion ?? '';
  const ask = async (query: object) => (await api.anonymous.get(`/v1/statements/standing?${new URLSearchParams({ ...query }).toString()}`).expect(200)).body as { certificate: string; revokedFrom: string | null };
  expect(await ask({ digest, certificate })).toMatchObject({ certificate: 'not-revoked', revokedFrom: null });
  expect(await ask({ digest, certificate: '00'.repeat(32) })).toMatchObject({ certificate: 'unknown', revokedFrom: null });

  // Rotation: the next one signs, and what the one before signed stays as good as it was.
  await bringOne(api.operator);
  const { items } = (await owner.get('/v1/signing-certificates').expect(200)).body as { items: { id: string; fingerprint: string; inUse: boolean }[] };
  const [next, first] = items;
  expect([next?.inUse, first?.inUse, first?.fingerprint]).toEqual([true, false, certificate]);
  expect(await verifyStatement(file)).toEqual(before);
  expect(await ask({ digest, certificate: next?.fingerprint })).toMatchObject({ certificate: 'other' });

  api.clock.advance({ milliseconds: 3600_000 });
  const path = `/v1/signing-certificates/${first?.id ?? ''}/revocation`;
  await owner.post(path, { reason: 'The server was broken into.' }).expect(200);
  const from = api.clock.now().toISOString();
  expect(await ask({ digest, certificate })).toMatchObject({ certificate: 'revoked-later', revokedFrom: from });
  expect(await ask({ digest: digest.replace(/.$/, (last) => (last === '0' ? '1' : '0')), certificate })).toMatchObject({ standing: 'unknown', certificate: 'revoked' });

  // Since a time before the statement was issued, and so about this one, once somebody else says so, too.
  await owner.post(path, { revokedFrom: '2026-05-01T20:00:00Z', reason: 'The break-in was the day before.' }).expect(200);
  expect(await ask({ digest, certificate })).toMatchObject({ certificate: 'revoked-later', revokedFrom: from });
  const asked = await verifyFiles([join(folder, 'march.pdf'), '--ask', api.url]);
  expect(asked.lines.find((line) => line.includes('says now'))).toContain('was issued before that, and is not touched by it.');
  expect(asked.holds).toBe(true);
  await api.operator.as('bookkeeper').post(`${path}/confirmation`).expect(200);
  expect(await ask({ digest, certificate })).toMatchObject({ certificate: 'revoked-before', revokedFrom: '2026-05-01T20:00:00.000Z' });
  const touched = await verifyFiles([join(folder, 'march.pdf'), '--ask', `${api.url}/verifier.html`]);
  expect(touched.lines.find((line) => line.includes('says now'))).toContain('is revoked from 2026-05-01T20:00:00.000Z on, and the statement was issued after that. Ask the operator');
  expect(touched.holds).toBe(false);
  // What the file alone can tell is as it was.
  expect(touched.lines.filter((line) => line.includes('FAILS'))).toEqual([]);
  expect((await verifyFiles([join(folder, 'march.pdf'), '--ask', 'http://127.0.0.1:9'])).lines.find((line) => line.includes('was asked'))).toContain('cannot be reached');
  await expect(verifyFiles([join(folder, 'march.pdf'), '--ask', 'ledger'])).rejects.toThrow('--ask ledger');
});

it('names nobody of the staff inside', () => {
  for (const role of ['owner', 'bookkeeper'] as const) expect(file.includes(api.operator.as(role).id)).toBe(false);
});

describeWithProgram('pdfsig', 'poppler-utils', () => {
  it('calls the signature valid and the document signed as a whole', () => {
    const { stdout } = runProgram('pdfsig', [join(folder, 'statement.pdf')]);
    for (const line of ['Signature is Valid', 'Total document signed', 'ETSI.CAdES.detached']) expect(stdout).toContain(line);
  });
});

describeWithProgram('openssl', 'openssl', () => {
  it('accepts the signature as CAdES under the certificate that the operator made on first use', async () => {
    const located = locateSignature(file);
    if (!located.ok) throw new Error(located.problem);
    const { start, end } = located.hole;
    writeFileSync(join(folder, 'signature.der'), Buffer.from(file.toString('latin1', start + 1, end - 1), 'hex'));
    writeFileSync(join(folder, 'content.bin'), Buffer.concat([file.subarray(0, start), file.subarray(end)]));
    const { rows } = await api.operator.inBooks((tx) => tx.sql<{ certificate: Buffer; sealed_private_key: Buffer }>(`SELECT certificate, sealed_private_key FROM signing_certificate WHERE source = 'made-here'`));
    const [made] = rows;
    if (made === undefined || rows.length > 1) throw new Error(`${rows.length} certificates were made`);
    writeFileSync(join(folder, 'signer.pem'), new X509Certificate(made.certificate).toString());
    const run = runProgram('openssl', [
      'cms', '-verify', '-cades', '-binary', '-inform', 'DER', '-in', 'signature.der', '-content', 'content.bin', '-CAfile', 'signer.pem', '-out', 'verified.bin',
      // The clock of the test stands; the certificate is valid there.
      '-attime', String(Date.parse('2026-05-02T15:00:00Z') / 1000),
    ], { cwd: folder });
    expect(run.stderr).toContain('CAdES Verification successful');
    expect(run.exitCode).toBe(0);
  });

  it('holds with a stamp by an authority whose certificate leads to one of the file that is given, and by no other', async () => {
    const [authority, stranger] = [startTimestampAuthority({ name: 'Clock of the harbor' }), startTimestampAuthority({ name: 'Somebody else' })];
    try {
      const [stamped, known, unknown, empty] = ['stamped.pdf', 'known.pem', 'unknown.pem', 'empty.pem'].map((name) => join(folder, name)) as [string, string, string, string];
      writeFileSync(stamped, await statementOf({ facts: { isStamped: true }, stampSignature: stampingBy(authority) }));
      writeFileSync(known, stranger.anchorPem + authority.anchorPem);
      writeFileSync(unknown, stranger.anchorPem);
      writeFileSync(empty, 'no certificate');
      const stampLine = ({ lines }: { lines: readonly string[] }) => lines.find((line) => line.includes('Time-stamped by') || line.includes('FAILS'));
      const relied = await verifyFiles([stamped, '--stamps-by', known]);
      expect([relied.holds, stampLine(relied)]).toEqual([true, expect.stringContaining('Time-stamped by Clock of the harbor')]);
      // Without a word about whom to trust, whoever stamped it is named, and nothing more.
      const unasked = await verifyFiles([stamped]);
      expect([unasked.holds, stampLine(unasked) === stampLine(relied)]).toEqual([true, false]);
      const doubted = await verifyFiles([stamped, '--stamps-by', unknown]);
      expect([doubted.holds, doubted.lines.filter((line) => line.includes('FAILS'))]).toEqual([false, [expect.stringContaining(verifierWordsOf('en').checks['time-stamp'].title)]]);
      await expect(verifyFiles([stamped, '--stamps-by', empty])).rejects.toThrow(`--stamps-by names ${empty}, which holds no PEM certificate.`);
      await expect(verifyFiles([stamped, '--stamps-by', join(folder, 'nowhere.pem')])).rejects.toThrow('nowhere.pem, which cannot be read as PEM certificates');
    } finally {
      authority.close();
      stranger.close();
    }
  });
});

describeWithProgram('pdftotext', 'poppler-utils', () => {
  it('reads the figures that the settlement has, and the earlier period with its statement', () => {
    const { stdout } = runProgram('pdftotext', ['-layout', join(folder, 'statement.pdf'), '-']);
    for (const text of ['1,234.50', '493.80', '20.00', '513.80', settlement.number ?? '', 'Zum Łachenden Ωμέγα', 'A collection came late.']) expect(stdout).toContain(text);
    expect(stdout).toContain(`${api.operator.code.toUpperCase()}-2026-000001`);
    expect(settlement.totals).toMatchObject({ siteShare: { amount: '493.80' }, earlier: { amount: '20.00' }, payable: { amount: '513.80' } });
  });
});

describeWithProgram('qpdf', 'qpdf', () => {
  it('finds nothing wrong in the file', () => {
    const run = runProgram('qpdf', ['--check', join(folder, 'statement.pdf')]);
    expect(run.exitCode).toBe(0);
    expect(run.stderr).toBe('');
  });
});
