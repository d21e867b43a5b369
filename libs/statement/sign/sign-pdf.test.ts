import { locateSignature } from '#statement/sign/byte-range';
import { checkSignature, isSound } from '#statement/sign/check-signature';
import { makeOperatorCertificate } from '#statement/sign/operator-certificate';
import { sha256Hex, signPdf } from '#statement/sign/sign-pdf';
import { signerElsewhere, signerFromKey, type Signer } from '#statement/sign/signer';
import { operatorSigner, signed, signerOf, unsignedPdf } from '#tests/support/signed-pdf';
import { pki } from 'node-forge';
import { createPublicKey, generateKeyPairSync, X509Certificate } from 'node:crypto';

/** A self-signed RSA certificate, as an operator may bring one. */
function rsaCertificate(bits: number): { privateKey: Buffer; certificate: Buffer } {
  const { publicKey, privateKey } = generateKeyPairSync('rsa', { modulusLength: bits });
  const certificate = pki.createCertificate();
  certificate.publicKey = pki.publicKeyFromPem(publicKey.export({ type: 'spki', format: 'pem' }).toString());
  certificate.serialNumber = '01';
  certificate.validity.notBefore = new Date('2025-01-01T00:00:00Z');
  certificate.validity.notAfter = new Date('2035-01-01T00:00:00Z');
  certificate.setSubject([{ name: 'commonName', value: 'Brought along' }]);
  certificate.setIssuer([{ name: 'commonName', value: 'Brought along' }]);
  certificate.sign(pki.privateKeyFromPem(privateKey.export({ type: 'pkcs1', format: 'pem' }).toString()), undefined);
  const der = new X509Certificate(pki.certificateToPem(certificate)).raw;
  return { privateKey: privateKey.export({ type: 'pkcs8', format: 'der' }), certificate: der };
}

const rsaSigner = (bits: number) => signerFromKey(rsaCertificate(bits));

let pdf: Buffer;
let signer: Signer;
beforeAll(async () => {
  pdf = await unsignedPdf();
  signer = await operatorSigner();
});

describe('signPdf', () => {
  it('changes nothing but Contents', async () => {
    const { signedPdf } = await signed(pdf, signer);
    const located = locateSignature(pdf);
    if (!located.ok) throw new Error(located.problem);
    expect(signedPdf).toHaveLength(pdf.length);
    expect(signedPdf.subarray(0, located.hole.start)).toEqual(pdf.subarray(0, located.hole.start));
    expect(signedPdf.subarray(located.hole.end)).toEqual(pdf.subarray(located.hole.end));
    expect(signedPdf).not.toEqual(pdf);
  });

  it('returns the digests of what it signed and who with', async () => {
    const result = await signed(pdf, signer);
    expect(result.signedDigest).toBe(sha256Hex(result.signedPdf));
    expect(result.certificateFingerprint).toBe(sha256Hex(signer.certificate));
  });

  it('leaves the unsigned bytes to be had back from the signed ones', async () => {
    const { signedPdf } = await signed(pdf, signer);
    const check = await checkSignature(signedPdf);
    expect(check).toMatchObject({ found: true, report: { unsignedDigest: sha256Hex(pdf) } });
  });

  it('signs with RSA as well', async () => {
    const result = rsaSigner(2048);
    if (!result.ok) throw new Error(result.problem);
    const check = await checkSignature((await signed(pdf, result.signer)).signedPdf);
    expect(check).toMatchObject({ found: true, report: { signatureValid: true, bindsCertificate: true, signerName: 'Brought along' } });
  });

  describe('with a key that it never sees', () => {
    type SignElsewhere = Parameters<typeof signerElsewhere>[0]['signElsewhere'];
    const over = (signElsewhere: SignElsewhere): Signer => {
      const made = signerElsewhere({ certificate: signer.certificate, chain: [], signElsewhere });
      if (!made.ok) throw new Error(made.problem);
      return made.signer;
    };

    it('signs as with its own', async () => {
      const check = await checkSignature((await signed(pdf, over(async (message) => signer.sign(message)))).signedPdf);
      expect(check.found && isSound(check.report)).toBe(true);
    });

    it('puts out nothing that another key signed, nor what is no signature, and says why', async () => {
      const another = await operatorSigner();
      expect(await signPdf({ unsignedPdf: pdf, signer: over(async (message) => another.sign(message)) })).toMatchObject({ ok: false, problem: 'not-by-the-certificate' });
      expect(await signPdf({ unsignedPdf: pdf, signer: over(async () => ({ ok: true, signature: new Uint8Array() })) })).toMatchObject({ ok: false, problem: 'not-by-the-certificate' });
      const refused = await signPdf({ unsignedPdf: pdf, signer: over(async () => ({ ok: false, detail: 'no token' })) });
      expect(refused).toEqual({ ok: false, problem: 'key-out-of-reach', detail: 'no token' });
    });

    it('takes no certificate of a short RSA key', () => {
      expect(signerElsewhere({ certificate: rsaCertificate(1024).certificate, chain: [], signElsewhere: async () => ({ ok: false, detail: '' }) })).toEqual({ ok: false, problem: 'rsa-key-too-short' });
    });
  });

  it('carries the certificates above', async () => {
    const above = await operatorSigner('Certification House');
    const { signedPdf } = await signed(pdf, { ...signer, chain: [above.certificate] });
    expect(signedPdf.includes(Buffer.from(above.certificate).toString('hex'))).toBe(true);
    const check = await checkSignature(signedPdf);
    expect(check).toMatchObject({ found: true, report: { certificateFingerprint: sha256Hex(signer.certificate) } });
  });

  it('says how much room a signature needs that does not fit', async () => {
    const result = await signPdf({ unsignedPdf: await unsignedPdf({ roomBytes: 300 }), signer });
    expect(result).toMatchObject({ ok: false, problem: 'signature-too-large', roomBytes: 300 });
    expect('neededBytes' in result && result.neededBytes).toBeGreaterThan(600);
  });

  it('takes no PDF to which something was appended', async () => {
    await expect(signPdf({ unsignedPdf: Buffer.concat([pdf, Buffer.from(' ')]), signer })).rejects.toThrow('appended');
  });
});

describe('signerFromKey', () => {
  it('refuses a short RSA key', () => {
    expect(rsaSigner(1024)).toEqual({ ok: false, problem: 'rsa-key-too-short' });
  });

  it('refuses a key that is not the one certified', async () => {
    const other = generateKeyPairSync('ec', { namedCurve: 'P-256' }).privateKey.export({ type: 'pkcs8', format: 'der' });
    expect(signerFromKey({ privateKey: other, certificate: signer.certificate })).toEqual({ ok: false, problem: 'key-does-not-fit-certificate' });
  });

  it('refuses a kind of key that PAdES readers do not know', () => {
    const other = generateKeyPairSync('ed25519').privateKey.export({ type: 'pkcs8', format: 'der' });
    expect(signerFromKey({ privateKey: other, certificate: signer.certificate })).toEqual({ ok: false, problem: 'key-type-not-supported' });
  });
});

describe('makeOperatorCertificate', () => {
  const request = {
    operatorName: 'Łódź "Quote" & <Sons>, #1',
    validFrom: new Date('2025-01-01T00:00:00Z'),
    validTo: new Date('2035-01-01T00:00:00Z'),
    serial: 'f001',
  };

  it('names the operator as it is written, whatever signs the name has', async () => {
    const made = await makeOperatorCertificate(request);
    const check = await checkSignature((await signed(pdf, signerOf(made))).signedPdf);
    expect(check).toMatchObject({ found: true, report: { signerName: request.operatorName } });
    const certificate = new X509Certificate(made.certificate);
    expect(certificate.serialNumber).toBe('F001');
    expect(new Date(certificate.validFrom)).toEqual(request.validFrom);
    expect(new Date(certificate.validTo)).toEqual(request.validTo);
    expect(certificate.keyUsage).toBeUndefined();
    expect(certificate.verify(createPublicKey(certificate.publicKey.export({ type: 'spki', format: 'pem' })))).toBe(true);
  });

  it('cuts a name at the bound of X.520 without breaking a letter', async () => {
    const made = await makeOperatorCertificate({ ...request, operatorName: '😀'.repeat(70) });
    const check = await checkSignature((await signed(pdf, signerOf(made))).signedPdf);
    expect(check).toMatchObject({ found: true, report: { signerName: '😀'.repeat(64) } });
  });

  it.each(['', '0', '000', 'g1', 'a'.repeat(41)])('refuses %p as a serial number', async (serial) => {
    await expect(makeOperatorCertificate({ ...request, serial })).rejects.toThrow('serial number');
  });
});
