import { readPkcs12 } from '#statement/sign/pkcs12';
import { checkSignature, isSound } from '#statement/sign/check-signature';
import { asn1 } from 'node-forge';
import { describeWithProgram, runProgram } from '#tests/support/outside-program';
import { signed, signerOf, unsignedPdf } from '#tests/support/signed-pdf';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const PASSWORD = 'Päßwort 7';

describe('readPkcs12', () => {
  it('says when something is no PKCS#12 file', () => {
    expect(readPkcs12(Buffer.from('nonsense'), '')).toEqual({ ok: false, problem: 'not-a-pkcs12-file' });
    expect(readPkcs12(Buffer.from('3003020103', 'hex'), '')).toEqual({ ok: false, problem: 'not-a-pkcs12-file' });
    expect(readPkcs12(Buffer.alloc(0), '')).toEqual({ ok: false, problem: 'not-a-pkcs12-file' });
  });
});

describeWithProgram('openssl', 'openssl', () => {
  let folder: string;
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'pkcs12-'));
    openssl('req', '-x509', '-newkey', 'rsa:2048', '-nodes', '-keyout', 'root.key', '-out', 'root.crt', '-days', '3650', '-subj', '/CN=Root');
    certify('rsa', 'rsa:2048');
    certify('ec', 'ec:curve.pem');
  });
  afterAll(() => rmSync(folder, { recursive: true }));

  function openssl(...programArguments: string[]): void {
    const run = runProgram('openssl', programArguments, { cwd: folder });
    if (run.exitCode !== 0) throw new Error(run.stderr);
  }

  function certify(name: string, newKey: string): void {
    if (name === 'ec') openssl('ecparam', '-name', 'prime256v1', '-out', 'curve.pem');
    openssl('req', '-newkey', newKey, '-nodes', '-keyout', `${name}.key`, '-out', `${name}.csr`, '-subj', `/CN=Signer ${name}`);
    openssl('x509', '-req', '-in', `${name}.csr`, '-CA', 'root.crt', '-CAkey', 'root.key', '-CAcreateserial', '-out', `${name}.crt`, '-days', '3650');
  }

  function pkcs12File(...options: string[]): Buffer {
    openssl('pkcs12', '-export', '-out', 'bundle.p12', '-passout', `pass:${PASSWORD}`, ...options);
    return readFileSync(join(folder, 'bundle.p12'));
  }

  it.each([
    ['RSA, today\'s algorithms', 'rsa', []],
    ['RSA, the algorithms of old files', 'rsa', ['-keypbe', 'PBE-SHA1-3DES', '-certpbe', 'PBE-SHA1-3DES', '-macalg', 'sha1']],
    ['RSA, the key not encrypted', 'rsa', ['-keypbe', 'NONE', '-certpbe', 'NONE']],
    ['EC, today\'s algorithms', 'ec', []],
    ['EC, the algorithms of old files', 'ec', ['-keypbe', 'PBE-SHA1-3DES', '-certpbe', 'PBE-SHA1-3DES', '-macalg', 'sha1']],
  ])('reads key, certificate and chain: %s', async (_, name, options) => {
    const read = readPkcs12(pkcs12File('-inkey', `${name}.key`, '-in', `${name}.crt`, '-certfile', 'root.crt', ...options), PASSWORD);
    if (!read.ok) throw new Error(read.problem);
    expect(read.chain).toHaveLength(1);
    const check = await checkSignature((await signed(await unsignedPdf(), signerOf(read))).signedPdf);
    expect(check.found && isSound(check.report) && check.report.signerName).toBe(`Signer ${name}`);
  });

  it('tells a wrong password from a broken file', () => {
    const file = pkcs12File('-inkey', 'rsa.key', '-in', 'rsa.crt');
    expect(readPkcs12(file, 'wrong')).toEqual({ ok: false, problem: 'wrong-password' });
    expect(readPkcs12(file.subarray(0, file.length - 40), PASSWORD)).toEqual({ ok: false, problem: 'not-a-pkcs12-file' });
  });

  it('gives up on a file that would be hashed for hours', () => {
    const outer = asn1.fromDer(pkcs12File('-inkey', 'rsa.key', '-in', 'rsa.crt').toString('latin1'));
    // PFX ::= { version, authSafe, macData }, MacData ::= { mac, macSalt, iterations } (RFC 7292 section 4).
    const iterations = memberOf(memberOf(outer, 2), 2);
    iterations.value = '\x7f\xff\xff\xff';
    expect(readPkcs12(Buffer.from(asn1.toDer(outer).getBytes(), 'latin1'), PASSWORD)).toEqual({ ok: false, problem: 'takes-too-long' });
  });

  it('answers whichever byte of a file is changed, key and certificate included', () => {
    const file = pkcs12File('-inkey', 'ec.key', '-in', 'ec.crt', '-nomac', '-keypbe', 'NONE', '-certpbe', 'NONE');
    const answers: string[] = [];
    // Every third, to be quick.
    for (let index = 0; index < file.length; index += 3) {
      const changed = Buffer.from(file);
      changed[index] = (file[index] ?? 0) ^ 0xff;
      const read = readPkcs12(changed, PASSWORD);
      answers.push(read.ok ? 'read' : read.problem);
    }
    expect([...new Set(answers)]).toEqual(expect.arrayContaining(['read', 'not-a-pkcs12-file']));
  });

  function memberOf(sequence: asn1.Asn1, index: number): asn1.Asn1 {
    const member = Array.isArray(sequence.value) ? sequence.value[index] : undefined;
    if (member === undefined) throw new Error(`there is no member ${index}`);
    return member;
  }

  it('misses a key, or the certificate that belongs to it', () => {
    expect(readPkcs12(pkcs12File('-nokeys', '-in', 'rsa.crt'), PASSWORD)).toEqual({ ok: false, problem: 'no-private-key' });
    expect(readPkcs12(pkcs12File('-nocerts', '-inkey', 'rsa.key'), PASSWORD)).toEqual({ ok: false, problem: 'no-certificate-for-the-key' });
  });
});
