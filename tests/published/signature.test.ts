/** A signed statement as other people's programs see it: PAdES B-B against OpenSSL, poppler and qpdf. */
import { locateSignature } from '#statement/sign/byte-range';
import type { Signer } from '#statement/sign/signer';
import { describeWithProgram, runProgram } from '#tests/support/outside-program';
import { renderStatement } from '#statement/statement';
import { sampleStatement } from '#tests/support/sample-statement';
import { signedAgain } from '#tests/support/signed-again';
import { operatorSigner, signed } from '#tests/support/signed-pdf';
import { X509Certificate } from 'node:crypto';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

let folder: string;
let file: Buffer;
let signer: Signer;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'signature-'));
  signer = await operatorSigner();
  file = (await signed((await renderStatement(sampleStatement())).unsignedPdf, signer)).signedPdf;
  writeFileSync(join(folder, 'signed.pdf'), file);
  writeFileSync(join(folder, 'signer.pem'), new X509Certificate(signer.certificate).toString());
});
afterAll(() => rmSync(folder, { recursive: true }));

/** The parts that `openssl cms` wants apart: the signature, and what it covers. */
function writeParts(pdf: Buffer): void {
  const located = locateSignature(pdf);
  if (!located.ok) throw new Error(located.problem);
  const { start, end } = located.hole;
  writeFileSync(join(folder, 'signature.der'), Buffer.from(pdf.toString('latin1', start + 1, end - 1), 'hex'));
  writeFileSync(join(folder, 'content.bin'), Buffer.concat([pdf.subarray(0, start), pdf.subarray(end)]));
}

describeWithProgram('openssl', 'openssl', () => {
  const verify = (): ReturnType<typeof runProgram> =>
    runProgram('openssl', [
      'cms', '-verify', '-cades', '-binary', '-inform', 'DER', '-in', 'signature.der', '-content', 'content.bin',
      '-CAfile', 'signer.pem', '-out', 'verified.bin',
    ], { cwd: folder });

  it('accepts the signature as CAdES, which demands signing-certificate-v2', () => {
    writeParts(file);
    const run = verify();
    expect(run.stderr).toContain('CAdES Verification successful');
    expect(run.exitCode).toBe(0);
  });

  it('refuses it over a changed file', () => {
    const changed = Buffer.from(file);
    changed[12] = (changed[12] ?? 0) ^ 1;
    writeParts(changed);
    expect(verify().exitCode).not.toBe(0);
  });

  it('shows exactly the signed attributes of PAdES B-B and no signing time', () => {
    writeParts(file);
    const printed = runProgram('openssl', ['cms', '-cmsout', '-print', '-noout', '-inform', 'DER', '-in', 'signature.der'], { cwd: folder });
    const attributes = Array.from(printed.stdout.matchAll(/object: (\S+) \(1\.2\.840\.113549\.1\.9\.[\d.]+\)/g), ([, name]) => name);
    expect(attributes).toEqual(['contentType', 'messageDigest', 'id-smime-aa-signingCertificateV2']);
  });
});

describeWithProgram('pdfsig', 'poppler-utils', () => {
  it('calls the signature valid and the document signed as a whole', () => {
    const { stdout } = runProgram('pdfsig', ['signed.pdf'], { cwd: folder });
    expect(stdout).toContain('Signature Type: ETSI.CAdES.detached');
    expect(stdout).toContain('Signature is Valid');
    expect(stdout).toContain('Total document signed');
  });

  it('does not call it so when a byte was changed or something appended (it exits with 0 all the same)', () => {
    const changed = Buffer.from(file);
    const place = file.indexOf('MediaBox');
    changed[place + 12] = (changed[place + 12] ?? 0) ^ 1;
    writeFileSync(join(folder, 'changed.pdf'), changed);
    expect(runProgram('pdfsig', ['changed.pdf'], { cwd: folder }).stdout).not.toContain('Signature is Valid');
    writeFileSync(join(folder, 'longer.pdf'), Buffer.concat([file, Buffer.from('\n% more\n')]));
    expect(runProgram('pdfsig', ['longer.pdf'], { cwd: folder }).stdout).not.toContain('Total document signed');
  });
});

describeWithProgram('pdfsig', 'poppler-utils', () => {
  it('sees two valid signatures where somebody else signed as well, of which the first does not cover the whole', async () => {
    writeFileSync(join(folder, 'twice.pdf'), await signedAgain(file, await operatorSigner('Other Amusements')));
    const { stdout } = runProgram('pdfsig', ['twice.pdf'], { cwd: folder });
    const [, first, second] = stdout.split(/^Signature #\d:$/m);
    for (const one of [first, second]) expect(one).toContain('Signature is Valid');
    expect(first).toContain('Harbour Lane Amusements');
    expect(first).not.toContain('Total document signed');
    expect(second).toContain('Other Amusements');
    expect(second).toContain('Total document signed');
    expect(second).toContain('Signature Type: ETSI.CAdES.detached');
  });
});

describeWithProgram('certutil', 'libnss3-tools', () => {
  it('lets a receiver trust the certificate, and pdfsig then says all three lines', () => {
    const database = `sql:${folder}`;
    writeFileSync(join(folder, 'signer.der'), signer.certificate);
    const trusting = runProgram('certutil', ['-N', '-d', database, '--empty-password']);
    const added = runProgram('certutil', ['-A', '-d', database, '-n', 'operator', '-t', ',C,', '-i', join(folder, 'signer.der')]);
    expect([trusting.exitCode, added.exitCode]).toEqual([0, 0]);
    const { stdout } = runProgram('pdfsig', ['-nssdir', database, 'signed.pdf'], { cwd: folder });
    expect(stdout).toContain('Signature is Valid');
    expect(stdout).toContain('Certificate is Trusted');
    expect(stdout).toContain('Total document signed');
  });
});

describeWithProgram('qpdf', 'qpdf', () => {
  it('finds nothing wrong in the file', () => {
    const run = runProgram('qpdf', ['--check', 'signed.pdf'], { cwd: folder });
    expect(run.stderr).toBe('');
    expect(run.stdout).toContain('No syntax or stream encoding errors found');
    expect(run.exitCode).toBe(0);
  });
});
