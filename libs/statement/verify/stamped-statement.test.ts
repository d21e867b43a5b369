/** Statements whose signature carries a time stamp (PAdES B-T): what their receiver is told of it. */
import { attachedJson } from '#statement/attached-figures';
import { locateSignature } from '#statement/sign/byte-range';
import { checkSignature } from '#statement/sign/check-signature';
import { holdsWhole, verifyStatement } from '#statement/verify/verify-statement';
import { sentenceOf, verifierWordsOf } from '#statement/verify/words';
import { statementOf } from '#tests/support/january-statement';
import { describeWithProgram } from '#tests/support/outside-program';
import { operatorSigner } from '#tests/support/signed-pdf';
import { stampingBy, startTimestampAuthority, type TimestampAuthority } from '#tests/support/timestamp-authority';
import { Attribute, ContentInfo, SignedAndUnsignedAttributes, SignedData } from 'pkijs';
import { fromBER, Utf8String } from 'asn1js';

const stamped = { isStamped: true } as const;

describeWithProgram('openssl', 'openssl', () => {
  let authority: TimestampAuthority;
  let statement: Buffer;
  beforeAll(async () => {
    authority = startTimestampAuthority({ name: 'Uhr & Söhne' });
    statement = await statementOf({ facts: stamped, stampSignature: stampingBy(authority) });
  });
  afterAll(() => authority.close());

  const failuresOf = async (pdf: Uint8Array): Promise<string[]> => (await verifyStatement(pdf)).findings.flatMap((finding) => (finding.holds === true ? [] : [`${finding.check} ${finding.why.code}`]));

  it('holds whole, and says by whom it was stamped and when, in three languages', async () => {
    const verdict = await verifyStatement(statement);
    expect(holdsWhole(verdict)).toBe(true);
    expect(verdict.findings.map(({ check }) => check)).toEqual(['signature', 'whole-file', 'time-stamp', 'attachment', 'digest', 'figures', 'page', 'earlier-head']);
    const finding = verdict.findings[2];
    if (finding === undefined) throw new Error('no finding about the stamp');
    const said = (language: string): string => sentenceOf(finding, { isFirst: true, words: verifierWordsOf(language) });
    expect(said('en')).toMatch(/^Time-stamped by Uhr & Söhne on .*\d{4}, \d\d:\d\d:\d\d UTC: .* calls itself/);
    expect(said('de')).toMatch(/^Zeitgestempelt von Uhr & Söhne am \d+\. .* \d{4}, \d\d:\d\d:\d\d UTC: /);
    expect(said('es')).toMatch(/^Sellada por Uhr & Söhne el \d+ de .* de \d{4}, \d\d:\d\d:\d\d UTC: /);
  });

  it('says another format than one without a stamp, and those that do not yet hold as well', async () => {
    expect(await attachedJson(statement)).toMatchObject({ format: 3, isStamped: true });
    expect(await attachedJson(await statementOf({}))).toMatchObject({ format: 2 });
    expect(await failuresOf(await statementOf({ facts: { ...stamped, stampedFormat: 2 }, stampSignature: stampingBy(authority) }))).toEqual([]);
  });

  it('tells whether the stamp is by an authority that the receiver relies on', async () => {
    const verdict = await verifyStatement(statement, { trust: { anchors: [authority.anchor] } });
    expect(verdict.findings[2]).toMatchObject({ holds: true, timestamp: { trusted: true } });
    const stranger = startTimestampAuthority({ name: 'Somebody else' });
    try {
      const doubted = await verifyStatement(statement, { trust: { anchors: [stranger.anchor] } });
      expect(doubted.findings[2]).toMatchObject({ holds: false, why: { code: 'stamp-not-trusted' } });
    } finally {
      stranger.close();
    }
  });

  it('catches a stamp that was taken out', async () => {
    expect(await failuresOf(await statementOf({ facts: stamped }))).toEqual(['time-stamp stamp-missing']);
    // Out of a file that had one: no byte that the signature covers changes.
    expect(await failuresOf(changedCms(statement, (signer) => delete signer.unsignedAttrs))).toEqual(['time-stamp stamp-missing']);
  });

  it('catches a stamp of another signature, one that the statement knows nothing of, and one from before it was issued', async () => {
    const other = stampingBy(authority);
    expect(await failuresOf(await statementOf({ facts: stamped, stampSignature: () => other(Buffer.from('another signature')) }))).toEqual(['time-stamp stamp-of-another-signature']);
    expect(await failuresOf(await statementOf({ stampSignature: other }))).toEqual(['time-stamp stamp-not-announced']);
    const ahead = `${new Date().getUTCFullYear() + 3}-01-01T00:00:00Z`;
    expect(await failuresOf(await statementOf({ facts: { ...stamped, issuedAt: ahead }, stampSignature: other }))).toContain('time-stamp stamp-before-issue');
  });

  it('catches a stamp from before the certificate of the signature was in force', async () => {
    const next = new Date().getUTCFullYear() + 1;
    const by = await operatorSigner(undefined, { validFrom: `${next}-01-01`, validTo: `${next + 9}-01-01` });
    expect(await failuresOf(await statementOf({ facts: stamped, by, stampSignature: stampingBy(authority) }))).toEqual(['time-stamp stamp-before-certificate']);
  });

  it('takes no stamp that was changed', async () => {
    const changing = async (signature: Uint8Array) => {
      const made = await stampingBy(authority)(signature);
      if (!made.ok) return made;
      // The last byte is one of the authority's own signature.
      return { ...made, token: Uint8Array.from(made.token, (byte, at) => (at === made.token.length - 1 ? byte ^ 1 : byte)) };
    };
    expect(await failuresOf(await statementOf({ facts: stamped, stampSignature: changing }))).toEqual(['time-stamp stamp-does-not-hold']);
  });

  it('finds any change inside the signature that could say anything, the stamp included', async () => {
    const genuine = JSON.stringify(await checkSignature(statement, { trust: { anchors: [authority.anchor] } }));
    const said = (text: string): string => text.replace(/"fileDigest":"\w+"/, '');
    const located = locateSignature(statement);
    if (!located.ok) throw new Error(located.problem);
    const { start } = located.hole;
    const used = 2 * fromBER(Buffer.from(statement.toString('latin1', start + 1, located.hole.end - 1), 'hex')).offset;
    const unnoticed: number[] = [];
    for (let place = start + 1; place < start + 1 + used; place += 26) {
      const changed = Buffer.from(statement);
      changed.write((parseInt(statement.toString('latin1', place, place + 2), 16) ^ 1).toString(16).padStart(2, '0'), place, 'latin1');
      const check = await checkSignature(changed, { trust: { anchors: [authority.anchor] } });
      const holds = check.found && check.report.signatureValid && check.report.bindsCertificate && check.report.timestamp?.ok === true;
      // Within a token, bytes that nothing signs may vary, such as certificates above the authority's own; what it says may not.
      if (holds && said(JSON.stringify(check)) !== said(genuine)) unnoticed.push((place - start - 1) / 2);
    }
    expect(unnoticed).toEqual([]);
  });

  it('reads no signature that carries anything else beside what it covers', async () => {
    const crowded = changedCms(statement, (signer) => {
      signer.unsignedAttrs?.attributes.push(new Attribute({ type: '1.3.6.1.4.1.99999.7', values: [new Utf8String({ value: 'paid in full' })] }));
    });
    expect(await failuresOf(crowded)).toContain('signature no-signature');
    const alone = changedCms(await statementOf({}), (signer) => {
      const attribute = new Attribute({ type: '1.3.6.1.4.1.99999.7', values: [new Utf8String({ value: 'paid in full' })] });
      signer.unsignedAttrs = new SignedAndUnsignedAttributes({ type: 1, attributes: [attribute] });
    });
    expect(await failuresOf(alone)).toContain('signature no-signature');
  });
});

/** The file with another CMS in the place of its own, zeros behind it. */
function changedCms(pdf: Buffer, change: (signer: SignedData['signerInfos'][number]) => void): Buffer {
  const located = locateSignature(pdf);
  if (!located.ok) throw new Error(located.problem);
  const { start, end } = located.hole;
  const outer = ContentInfo.fromBER(Buffer.from(pdf.toString('latin1', start + 1, end - 1), 'hex'));
  const signedData = new SignedData({ schema: outer.content });
  const [signer] = signedData.signerInfos;
  if (signer === undefined) throw new Error('nobody signed');
  change(signer);
  const cms = Buffer.from(new ContentInfo({ contentType: outer.contentType, content: signedData.toSchema(true) }).toSchema().toBER());
  const changed = Buffer.from(pdf);
  changed.fill('0', start + 1, end - 1).write(cms.toString('hex'), start + 1, 'latin1');
  return changed;
}
