/** A signed statement as other people's programs see it: PAdES B-B, and B-T with a time stamp, against OpenSSL, poppler and qpdf. */
import { locateSignature } from '#statement/sign/byte-range';
import { STAMPED_SIGNATURE_ROOM_BYTES } from '#statement/sign/signature-field';
import type { Signer } from '#statement/sign/signer';
import { describeWithProgram, runProgram } from '#tests/support/outside-program';
import { renderStatement } from '#statement/statement';
import { sampleStatement } from '#tests/support/sample-statement';
import { signedAgain } from '#tests/support/signed-again';
import { operatorSigner, signed } from '#tests/support/signed-pdf';
import { stampingBy, startTimestampAuthority, type TimestampAuthority } from '#tests/support/timestamp-authority';
import { fromBER } from 'asn1js';
import { ContentInfo, SignedData } from 'pkijs';
import { X509Certificate } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
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

/** The token and the value of the signature that it has to stamp, of a CMS with zeros behind it. */
function tokenIn(cms: Uint8Array): { token: Uint8Array; signature: Uint8Array } {
  const [signer] = new SignedData({ schema: new ContentInfo({ schema: fromBER(cms).result }).content }).signerInfos;
  const value = signer?.unsignedAttrs?.attributes[0]?.values[0] as { toBER: () => ArrayBuffer } | undefined;
  if (signer === undefined || value === undefined) throw new Error('the signature carries no token');
  return { token: new Uint8Array(value.toBER()), signature: signer.signature.valueBlock.valueHexView };
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

describeWithProgram('openssl', 'openssl', () => {
  let authority: TimestampAuthority;
  let stamped: Buffer;
  beforeAll(async () => {
    authority = startTimestampAuthority();
    const { unsignedPdf } = await renderStatement(sampleStatement(), { signatureRoomBytes: STAMPED_SIGNATURE_ROOM_BYTES });
    stamped = (await signed(unsignedPdf, signer, stampingBy(authority))).signedPdf;
    writeFileSync(join(folder, 'stamped.pdf'), stamped);
    writeParts(stamped);
  });
  afterAll(() => authority.close());

  it('accepts the signature with a time stamp (PAdES B-T), whose token is the one unsigned attribute', () => {
    const words = ['cms', '-verify', '-cades', '-binary', '-inform', 'DER', '-in', 'signature.der', '-content', 'content.bin', '-CAfile', 'signer.pem', '-out', 'verified.bin'];
    expect(runProgram('openssl', words, { cwd: folder }).stderr).toContain('CAdES Verification successful');
    const printed = runProgram('openssl', ['cms', '-cmsout', '-print', '-noout', '-inform', 'DER', '-in', 'signature.der'], { cwd: folder }).stdout;
    const unsigned = printed.slice(printed.indexOf('unsignedAttrs'));
    // RFC 3161 appendix A, and id-aa-timeStampToken's name in OpenSSL.
    expect(Array.from(unsigned.matchAll(/object: (\S+) \(1\.2\.840\.113549\.1\.9\.16\.2\.[\d.]+\)/g), ([, name]) => name)).toEqual(['id-smime-aa-timeStampToken']);
  });

  it('verifies the token (openssl ts) over the value of the signature, as RFC 3161 appendix A has it, and over nothing else', () => {
    const { token, signature } = tokenIn(Buffer.from(readFileSync(join(folder, 'signature.der'))));
    expect(authority.verifies({ token, data: signature })).toBe(true);
    expect(authority.verifies({ token, data: Buffer.from('another signature') })).toBe(false);
  });

  describeWithProgram('pdfsig', 'poppler-utils', () => {
    it('is taken by pdfsig as without a stamp', () => {
      const { stdout } = runProgram('pdfsig', ['stamped.pdf'], { cwd: folder });
      for (const line of ['Signature Type: ETSI.CAdES.detached', 'Signature is Valid', 'Total document signed']) expect(stdout).toContain(line);
    });
  });

  describeWithProgram('qpdf', 'qpdf', () => {
    it('is taken by qpdf as without a stamp', () => {
      expect(runProgram('qpdf', ['--check', 'stamped.pdf'], { cwd: folder }).stdout).toContain('No syntax or stream encoding errors found');
    });
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
