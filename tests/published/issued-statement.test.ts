/** A statement from an empty set-up to the signed file, as other people's programs see it. */
import { locateSignature } from '#statement/sign/byte-range';
import type { Settlement } from '#contracts/settlement';
import { attachedFigures } from '#statement/attached-figures';
import { canonicalJson, type CanonicalValue } from '#domain/evidence/canonical-json';
import { startTestApi, type TestApi } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment } from '#tests/support/collecting';
import { describeWithProgram, runProgram } from '#tests/support/outside-program';
import { makeRunningSite } from '#tests/support/set-up';
import { createHash, X509Certificate } from 'node:crypto';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

let api: TestApi;
let folder: string;
let file: Buffer;
let settlement: Settlement;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'issued-statement-'));
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  const office = api.operator.as('bookkeeper');
  const { site, machine } = await makeRunningSite(office, { site: { name: 'Zum Łachenden Ωμέγα' } });
  await makeAcceptedCollection(office, site, [count(machine, '100.00', '0.00')], { happenedAt: moment('2026-03-10') });
  await issueMonth(api, (await closeMonth(api, '2026-03-01')).id);
  await makeAcceptedCollection(office, site, [count(machine, '50.00', '0.00')], { happenedAt: moment('2026-03-20') });
  await makeAcceptedCollection(office, site, [count(machine, '1234.50', '0.00')], { happenedAt: moment('2026-04-10') });
  await issueMonth(api, (await closeMonth(api, '2026-04-01')).id);
  settlement = await settlementOf(api, { siteId: site.id, startsOn: '2026-04-01' });
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
    const { rows } = await api.operator.inBooks((tx) => tx.sql<{ certificate: Buffer; sealed_private_key: Buffer }>('SELECT certificate, sealed_private_key FROM signing_certificate'));
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
