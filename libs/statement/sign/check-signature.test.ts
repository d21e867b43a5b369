import { checkSignature, isSound, type SignatureReport } from '#statement/sign/check-signature';
import { locateSignature } from '#statement/sign/byte-range';
import type { Signer } from '#statement/sign/signer';
import { operatorSigner, signed, unsignedPdf } from '#tests/support/signed-pdf';

let signer: Signer;
let file: Buffer;
let hole: { start: number; end: number };
beforeAll(async () => {
  signer = await operatorSigner();
  file = (await signed(await unsignedPdf(), signer)).signedPdf;
  const located = locateSignature(file);
  if (!located.ok) throw new Error(located.problem);
  hole = located.hole;
});

async function reportOn(bytes: Uint8Array): Promise<SignatureReport> {
  const check = await checkSignature(bytes);
  if (!check.found) throw new Error(check.problem);
  return check.report;
}

/** The file with one byte changed into something else. */
function changedAt(position: number): Buffer {
  const changed = Buffer.from(file);
  changed[position] = (changed[position] ?? 0) ^ 1;
  return changed;
}

describe('checkSignature', () => {
  it('finds a signed file sound', async () => {
    expect(isSound(await reportOn(file))).toBe(true);
  });

  it('leaves the file as it was', async () => {
    const before = Buffer.from(file);
    await checkSignature(file);
    expect(file).toEqual(before);
  });

  it('finds a changed byte anywhere before and after the signature', async () => {
    const places = [0, 9, Math.floor(hole.start / 2), hole.end, hole.end + 20, Math.floor((hole.end + file.length) / 2), file.length - 1];
    for (const place of places) {
      const check = await checkSignature(changedAt(place));
      expect(check.found && isSound(check.report)).toBe(false);
    }
  });

  it('finds bytes appended', async () => {
    const report = await reportOn(Buffer.concat([file, Buffer.from('\n1 0 obj\n<< >>\nendobj\n')]));
    expect(report).toMatchObject({ signatureValid: true, coversWholeFile: false });
    expect(isSound(report)).toBe(false);
  });

  it('finds any change inside the signature', async () => {
    let sound = 0;
    for (let place = hole.start + 1; place < hole.end - 1; place += 14) {
      const changed = Buffer.from(file);
      const byte = parseInt(file.toString('latin1', place, place + 2), 16) ^ 1;
      changed.write(byte.toString(16).padStart(2, '0'), place, 'latin1');
      const check = await checkSignature(changed);
      if (check.found && isSound(check.report)) sound += 1;
    }
    expect(sound).toBe(0);
  });

  it('names another certificate when another one signed', async () => {
    const other = await signed(await unsignedPdf(), await operatorSigner());
    const report = await reportOn(other.signedPdf);
    expect(isSound(report)).toBe(true);
    expect(report.certificateFingerprint).not.toBe((await reportOn(file)).certificateFingerprint);
  });

  it('does not take a signature from another file', async () => {
    const foreign = await signed(await unsignedPdf({ text: 'Another page' }), signer);
    const located = locateSignature(foreign.signedPdf);
    if (!located.ok) throw new Error(located.problem);
    const mixed = Buffer.from(file);
    foreign.signedPdf.copy(mixed, hole.start, located.hole.start, located.hole.end);
    expect(await reportOn(mixed)).toMatchObject({ signatureValid: false, coversWholeFile: true });
  });

  it('does not take a certificate swapped for another with the same names and number', async () => {
    let lookalike = await operatorSigner();
    // Two integers in a certificate vary in length by a byte; only one of the same length leaves everything in its place.
    while (lookalike.certificate.length !== signer.certificate.length) lookalike = await operatorSigner();
    const text = file.toString('latin1').replace(Buffer.from(signer.certificate).toString('hex'), Buffer.from(lookalike.certificate).toString('hex'));
    expect(await reportOn(Buffer.from(text, 'latin1'))).toMatchObject({ signatureValid: false, bindsCertificate: false });
  });

  it('reports a file that was rendered and never signed', async () => {
    expect(await checkSignature(await unsignedPdf())).toEqual({ found: false, problem: 'signature-unreadable' });
  });

  it.each([
    ['nothing', Buffer.alloc(0), 'no-signature'],
    ['no PDF', Buffer.from('hello'), 'no-signature'],
  ])('reports %s', async (_, bytes, problem) => {
    expect(await checkSignature(bytes)).toEqual({ found: false, problem });
  });
});
