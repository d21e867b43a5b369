/**
 * What ISO 19005-3 (PDF/A-3, level B) asks of the structure of a file, as qpdf reads it. Clauses from memory: the standard is
 * not to be had here, and neither is a program that validates by it, so what is not asserted here is not known to hold.
 */
import { describeWithProgram, runProgram } from '#tests/support/outside-program';
import { renderStatement } from '#statement/statement';
import { sampleStatement } from '#tests/support/sample-statement';
import { operatorSigner, signed } from '#tests/support/signed-pdf';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

type Dictionary = { readonly [key: string]: unknown };
type PdfObject = { readonly value?: unknown; readonly stream?: { readonly dict: Dictionary } };

describeWithProgram('qpdf', 'qpdf', () => {
  let folder: string;
  let file: Buffer;
  let objects: { readonly [name: string]: PdfObject };
  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'pdf-a-'));
    const attached = { settlement: { takings: '12.50' }, page: { version: 1 }, earlierHead: null };
    file = (await signed((await renderStatement({ ...sampleStatement({ machines: 40 }), attached })).unsignedPdf, await operatorSigner())).signedPdf;
    writeFileSync(join(folder, 'statement.pdf'), file);
    const { stdout } = runProgram('qpdf', ['--json=2', '--json-stream-data=none', 'statement.pdf'], { cwd: folder });
    objects = (JSON.parse(stdout) as { qpdf: [unknown, typeof objects] }).qpdf[1];
  });
  afterAll(() => rmSync(folder, { recursive: true }));

  const dictionaries = (): Dictionary[] =>
    Object.values(objects).flatMap(({ value, stream }) => {
      const dictionary = stream?.dict ?? value;
      return isDictionary(dictionary) ? [dictionary] : [];
    });
  const ofType = (type: string): Dictionary[] => dictionaries().filter((dictionary) => dictionary['/Type'] === type);
  const resolved = (reference: unknown): Dictionary => {
    const { value, stream } = objects[`obj:${String(reference)}`] ?? {};
    const dictionary = stream?.dict ?? value;
    if (!isDictionary(dictionary)) throw new Error(`${String(reference)} is no dictionary`);
    return dictionary;
  };
  const only = (found: Dictionary[]): Dictionary => {
    const [one, ...others] = found;
    if (one === undefined || others.length > 0) throw new Error(`${found.length} instead of one`);
    return one;
  };
  const raw = (reference: unknown): string => runProgram('qpdf', [`--show-object=${String(reference).split(' ')[0] ?? ''}`, '--raw-stream-data', 'statement.pdf'], { cwd: folder }).stdout;

  it('6.1: begins with a comment of bytes above 127, has an identifier, is neither encrypted nor followed by anything', () => {
    expect(file.toString('latin1', 0, 9)).toBe('%PDF-1.7\n');
    expect(file[9]).toBe('%'.charCodeAt(0));
    expect([...file.subarray(10, 14)].every((byte) => byte > 127)).toBe(true);
    const { value } = objects['trailer'] ?? {};
    expect(value).toMatchObject({ '/ID': [expect.any(String), expect.any(String)] });
    expect(value).not.toHaveProperty('/Encrypt');
    expect(file.toString('latin1').endsWith('%%EOF\n')).toBe(true);
    expect(file.toString('latin1').match(/%%EOF/g)).toHaveLength(1);
  });

  it('6.1.7: keeps every stream in the file, compressed by nothing but Flate', () => {
    const streams = Object.values(objects).flatMap(({ stream }) => (stream === undefined ? [] : [stream.dict]));
    expect(streams.length).toBeGreaterThan(8);
    for (const dictionary of streams) {
      for (const key of ['/F', '/FFilter', '/FDecodeParms']) expect(dictionary).not.toHaveProperty(key);
      expect([undefined, '/FlateDecode']).toContain(dictionary['/Filter']);
    }
  });

  it('6.2.3: says what its colours mean by an output intent with a profile of three components, and uses no others', () => {
    const intent = only((ofType('/Catalog')[0]?.['/OutputIntents'] as unknown[]).map(resolved));
    expect(intent['/S']).toBe('/GTS_PDFA1');
    expect(resolved(intent['/DestOutputProfile'])['/N']).toBe(3);
    for (const page of ofType('/Page')) {
      const contents = runProgram('qpdf', [`--show-object=${String(page['/Contents']).split(' ')[0] ?? ''}`, '--filtered-stream-data', 'statement.pdf'], { cwd: folder }).stdout;
      // Operators of CMYK and of named colour spaces, and inline pictures.
      expect(contents).not.toMatch(/(^|\s)(k|K|cs|CS|sc|SC|scn|SCN|BI|sh|gs)\n/);
      expect(contents).toMatch(/ rg\n/);
    }
  });

  it('6.2.11: embeds every font, and maps its glyphs as it says', () => {
    const fonts = ofType('/Font');
    expect(new Set(fonts.map((font) => font['/Subtype']))).toEqual(new Set(['/Type0', '/CIDFontType2']));
    for (const font of fonts.filter((each) => each['/Subtype'] === '/CIDFontType2')) {
      expect(font['/CIDToGIDMap']).toBe('/Identity');
      expect(resolved(resolved(font['/FontDescriptor'])['/FontFile2'])['/Filter']).toBe('/FlateDecode');
    }
    for (const font of fonts.filter((each) => each['/Subtype'] === '/Type0')) expect(font).toMatchObject({ '/Encoding': '/Identity-H', '/ToUnicode': expect.any(String) as string });
  });

  it('6.3, 6.4: has one annotation, the signature, that is printed, draws itself and asks for nothing', () => {
    const widget = only(ofType('/Annot'));
    // Print set; hidden, invisible, toggled and not viewed not set (ISO 32000-1 table 165).
    expect(Number(widget['/F']) & 0b101111).toBe(0b100);
    expect(Object.keys(widget['/AP'] as Dictionary)).toEqual(['/N']);
    for (const key of ['/A', '/AA']) expect(widget).not.toHaveProperty(key);
    const form = resolved(only(ofType('/Catalog'))['/AcroForm']);
    for (const key of ['/NeedAppearances', '/XFA']) expect(form).not.toHaveProperty(key);
  });

  it('6.5, 6.9, 6.10: does nothing by itself, and shows the same to everybody', () => {
    const catalog = only(ofType('/Catalog'));
    for (const key of ['/OpenAction', '/AA', '/OCProperties', '/Requirements']) expect(catalog).not.toHaveProperty(key);
    expect(Object.keys(resolved(catalog['/Names'])).sort()).toEqual(['/Dests', '/EmbeddedFiles']);
    for (const dictionary of dictionaries()) for (const key of ['/JS', '/Launch', '/SMask', '/Alternates', '/OPI']) expect(dictionary).not.toHaveProperty(key);
  });

  it('6.6: says in readable metadata that it is PDF/A-3b, and the same title and times as beside them', () => {
    const metadata = only(ofType('/Catalog'))['/Metadata'];
    expect(resolved(metadata)).toMatchObject({ '/Type': '/Metadata', '/Subtype': '/XML' });
    expect(resolved(metadata)).not.toHaveProperty('/Filter');
    const packet = raw(metadata);
    expect(packet).toMatch(/^<\?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"\?>/);
    expect(packet).toMatch(/<pdfaid:part>3<\/pdfaid:part>\s*<pdfaid:conformance>B<\/pdfaid:conformance>/);
    expect(packet).toContain('Settlement statement 2025-000123');
    expect(packet).toContain('<xmp:CreateDate>2025-06-02T16:30:00Z</xmp:CreateDate>');
    const { value } = objects['trailer'] ?? {};
    const beside = resolved(isDictionary(value) ? value['/Info'] : undefined);
    const textOf = (key: string): unknown => objects[`obj:${String(beside[key])}`]?.value ?? beside[key];
    expect([textOf('/Title'), textOf('/CreationDate')]).toEqual(['u:Settlement statement 2025-000123', 'u:D:20250602163000Z']);
  });

  it('6.8: names what is attached, its kind, its time and what it is to the page', () => {
    const attached = only(ofType('/Filespec'));
    expect(attached).toMatchObject({ '/AFRelationship': '/Data', '/F': 'u:statement.json', '/UF': 'u:statement.json' });
    const reference = Object.keys(objects).find((name) => objects[name]?.value === attached)?.replace('obj:', '');
    expect(only(ofType('/Catalog'))['/AF']).toEqual([reference]);
    expect(resolved((attached['/EF'] as Dictionary)['/F'])).toMatchObject({ '/Subtype': '/application/json', '/Params': { '/ModDate': 'u:D:20250602163000Z' } });
  });
});

function isDictionary(value: unknown): value is Dictionary {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
