import { crc16 } from './crc';
import { readAuditData } from './read';

const bytesOf = (text: string) => Uint8Array.from(text, (letter) => letter.charCodeAt(0));

/** A transmission with its own counts and checksum made right, unless a test says otherwise. */
function transmission(lines: readonly string[], { checksum, count }: { checksum?: string; count?: number } = {}): Uint8Array {
  const set = ['ST*001*0007', ...lines].map((line) => `${line}\r\n`).join('');
  const crc = checksum ?? crc16(bytesOf(set)).toString(16).toUpperCase().padStart(4, '0');
  return bytesOf(`DXS*INV0000001*VA*V0/6*12\r\n${set}G85*${crc}\r\nSE*${String(count ?? lines.length + 3)}*0007\r\nDXE*12*1\r\n`);
}

const whole = [
  'ID1*INV-4711*MODEL*0100',
  'ID4*2*0840*USD',
  'VA1*1200000*4800*52000*208',
  'VA2*2500*10*100*1',
  'CA2*1100000*4400*50000*200',
  'CA3*62000*40000*12000*10000*1450000*900000*300000*250000',
  'CA4*8000*500*210000*9000',
  'CA8*150*4200',
  'CA10*5000*80000',
  'DA2*90000*360*2000*8',
];

describe('the checksum', () => {
  // CRC-16/ARC, published check value over the digits 1 to 9.
  it('of 123456789 is BB3D', () => expect(crc16(bytesOf('123456789'))).toBe(0xbb3d));
});

describe('a transmission of audit data', () => {
  it('tells each figure since the reset and since the set-up, whichever its segment names first', () => {
    const read = readAuditData(transmission(whole));
    if (!read.ok) throw new Error(JSON.stringify(read.refusal));
    const { figures, ...head } = read.data;
    expect(head).toEqual({ transmission: { sender: 'INV0000001', control: '12' }, machineSerial: 'INV-4711', currency: 'USD', decimals: 2, checksum: 'right' });
    expect(Object.fromEntries(figures)).toMatchObject({
      sales: { sinceResetMinor: 52_000n, sinceSetUpMinor: 1_200_000n },
      testVends: { sinceResetMinor: 100n, sinceSetUpMinor: 2_500n },
      cashSales: { sinceResetMinor: 50_000n, sinceSetUpMinor: 1_100_000n },
      cashIn: { sinceResetMinor: 62_000n, sinceSetUpMinor: 1_450_000n },
      toBox: { sinceResetMinor: 40_000n, sinceSetUpMinor: 900_000n },
      toTubes: { sinceResetMinor: 12_000n, sinceSetUpMinor: 300_000n },
      notesIn: { sinceResetMinor: 10_000n, sinceSetUpMinor: 250_000n },
      paidOut: { sinceResetMinor: 8_000n, sinceSetUpMinor: 210_000n },
      filled: { sinceResetMinor: 5_000n, sinceSetUpMinor: 80_000n },
      cardSales: { sinceResetMinor: 2_000n, sinceSetUpMinor: 90_000n },
    });
  });
  it('passes over segments that it does not know, and says when there is no checksum', () => {
    const text = 'DXS*INV0000001*VA*V0/6*3\nST*001*0001\nXX9*1\nCA3*100*100***500*500\nSE*4*0001\nDXE*3*1\n';
    expect(readAuditData(bytesOf(text))).toMatchObject({ ok: true, data: { checksum: 'none', machineSerial: null, currency: null, decimals: null } });
  });

  const replaced = (from: string, to: string) => whole.map((line) => (line === from ? to : line));
  it.each<[string, Uint8Array, string, string]>([
    ['whose sums are those of the wrong way round', transmission(replaced('CA3*62000*40000*12000*10000*1450000*900000*300000*250000', 'CA3*62000*40000*12000*10001*1450000*900000*300000*250000')), 'does-not-add-up', 'CA301'],
    ['whose sum since the set-up is wrong', transmission(replaced('CA3*62000*40000*12000*10000*1450000*900000*300000*250000', 'CA3*62000*40000*12000*10000*1450000*900000*300000*1')), 'does-not-add-up', 'CA305'],
    ['with more since the reset than since the set-up', transmission(replaced('VA1*1200000*4800*52000*208', 'VA1*52000*208*1200000*4800')), 'does-not-add-up', 'VA103'],
    ['with letters for an amount', transmission(replaced('CA8*150*4200', 'CA8*1x0*4200')), 'not-a-number', 'CA801'],
    ['with a minus', transmission(replaced('CA8*150*4200', 'CA8*-150*4200')), 'not-a-number', 'CA801'],
    ['with a segment twice', transmission([...whole, 'CA8*150*4200']), 'twice', 'CA8'],
    ['with a wrong checksum', transmission(whole, { checksum: '0000' }), 'wrong-checksum', 'G8501'],
    ['with a segment missing', transmission(whole, { count: 99 }), 'wrong-count', 'SE01'],
    ['cut in the middle', transmission(whole).slice(0, 120), 'cut-off', 'SE'],
    ['cut before its end', transmission(whole).slice(0, -11), 'cut-off', 'DXE'],
    ['under another number at its end', bytesOf('DXS*A*VA*V0/6*3\nST*001*0001\nSE*2*0002\nDXE*3*1\n'), 'wrong-control-number', 'SE02'],
    ['in another envelope', bytesOf('DXS*A*VA*V0/6*3\nST*001*0001\nSE*2*0001\nDXE*4*1\n'), 'wrong-control-number', 'DXE01'],
    ['of two sets', bytesOf('DXS*A*VA*V0/6*3\nST*001*0001\nSE*2*0001\nST*001*0002\nSE*2*0002\nDXE*3*2\n'), 'wrong-count', 'DXE02'],
    ['that is something else', bytesOf('site,collected_on,machine\n'), 'not-audit-data', 'DXS'],
    ['without a set', bytesOf('DXS*A*VA*V0/6*3\nDXE*3*1\n'), 'not-audit-data', 'ST'],
    ['in UTF-16', Uint8Array.from([0xff, 0xfe, 0x44, 0, 0x58, 0, 0x53, 0]), 'not-text', 'DXS'],
  ])('is refused %s', (_what, bytes, code, element) => expect(readAuditData(bytes)).toMatchObject({ ok: false, refusal: { code, element } }));

  it('notices any byte that was changed between beginning and checksum', () => {
    const sent = transmission(whole);
    const from = String.fromCharCode(...sent).indexOf('ID1');
    for (let at = from; at < sent.length - 30; at += 3) {
      const changed = Uint8Array.from(sent);
      changed[at] = (changed[at] ?? 0) ^ 1;
      expect(readAuditData(changed).ok).toBe(false);
    }
  });
});
