import { crc16 } from './crc';
import { readAuditData } from './read';

const bytesOf = (text: string) => Uint8Array.from(text, (letter) => letter.charCodeAt(0));

/** A transmission with its own counts and checksum made right, unless a test says otherwise. */
function transmission(lines: readonly string[], { checksum, count }: { checksum?: string; count?: number | string } = {}): Uint8Array {
  const set = ['ST*001*0007', ...lines].map((line) => `${line}\r\n`).join('');
  const crc = checksum ?? crc16(bytesOf(set)).toString(16).toUpperCase().padStart(4, '0');
  return bytesOf(`DXS*INV0000001*VA*V0/6*12\r\n${set}G85*${crc}\r\nSE*${String(count ?? lines.length + 3)}*0007\r\nDXE*12*1\r\n`);
}

const whole = [
  'ID1*INV-4711*MODEL*0100***A-17',
  'ID4*2*0840*USD',
  'VA1*1200000*4800*52000*208',
  'VA2*2500*10*100*1',
  'CA2*1100000*4400*50000*200',
  'CA3*62000*40000*12000*10000*1450000*900000*300000*250000',
  'CA4*8000*500*210000*9000',
  'CA8*150*4200',
  'CA10*5000*80000',
  'DA2*90000*360*2000*8',
  'EA3*17*261103*1405**261001*0900',
];
const CASH = 'CA3*62000*40000*12000*10000*1450000*900000*300000*250000';

describe('the checksum', () => {
  // CRC-16/ARC, published check value over the digits 1 to 9.
  it('of 123456789 is BB3D', () => expect(crc16(bytesOf('123456789'))).toBe(0xbb3d));
});

describe('a transmission of audit data', () => {
  it('tells each figure since the reset and since the set-up, whichever its segment names first', () => {
    const read = readAuditData(transmission(whole));
    if (!read.ok) throw new Error(JSON.stringify(read.refusal));
    const { figures, ...head } = read.data;
    expect(head).toEqual({ serial: 'INV-4711', assetNumber: 'A-17', currency: 'USD', decimals: 2, clock: { day: '2026-11-03', time: '14:05' } });
    expect(Object.fromEntries(figures)).toMatchObject({
      sales: { sinceReset: 52_000n, sinceSetUp: 1_200_000n },
      testVends: { sinceReset: 100n, sinceSetUp: 2_500n },
      cashSales: { sinceReset: 50_000n, sinceSetUp: 1_100_000n },
      cashVends: { sinceReset: 200n, sinceSetUp: 4_400n },
      cashIn: { sinceReset: 62_000n, sinceSetUp: 1_450_000n },
      toBox: { sinceReset: 40_000n, sinceSetUp: 900_000n },
      toTubes: { sinceReset: 12_000n, sinceSetUp: 300_000n },
      notesIn: { sinceReset: 10_000n, sinceSetUp: 250_000n },
      paidOut: { sinceReset: 8_000n, sinceSetUp: 210_000n },
      filled: { sinceReset: 5_000n, sinceSetUp: 80_000n },
      cardSales: { sinceReset: 2_000n, sinceSetUp: 90_000n },
    });
  });
  it('passes over segments that it does not know, and says what it is not told', () => {
    expect(readAuditData(transmission(['XX9*1', 'CA3*100*100***500*500']))).toMatchObject({ ok: true, data: { serial: null, assetNumber: null, currency: null, decimals: null, clock: null } });
  });

  const replaced = (from: string, to: string) => whole.map((line) => (line === from ? to : line));
  it.each<[string, Uint8Array, string, string]>([
    ['whose sums are those of the wrong way round', transmission(replaced(CASH, 'CA3*62000*40000*12000*10001*1450000*900000*300000*250000')), 'does-not-add-up', 'CA301'],
    ['whose sum since the set-up is wrong', transmission(replaced(CASH, 'CA3*62000*40000*12000*10000*1450000*900000*300000*1')), 'does-not-add-up', 'CA305'],
    ['with more since the reset than since the set-up', transmission(replaced('VA1*1200000*4800*52000*208', 'VA1*52000*208*1200000*4800')), 'does-not-add-up', 'VA103'],
    ['with sales by card and cash above all sales', transmission(replaced('CA2*1100000*4400*50000*200', 'CA2*1120000*4400*50000*200')), 'does-not-add-up', 'VA101'],
    ['with the two sides of its cash sales exchanged', transmission(replaced('CA2*1100000*4400*50000*200', 'CA2*50000*200*1100000*4400')), 'does-not-add-up', 'CA203'],
    ['with notes in two elements that differ', transmission(replaced(CASH, 'CA3*62000*40000*12000*9*1450000*900000*300000*2500*10000*250000')), 'does-not-add-up', 'CA304'],
    ['with notes in a unit that no total proves', transmission(replaced(CASH, 'CA3**40000*12000*100**900000*300000*2500')), 'unit-not-proved', 'CA304'],
    ['with notes that went on into a recycler', transmission(replaced(CASH, 'CA3*62000*40000*12000**1450000*900000*300000**10000*250000*0*90000')), 'recycled', 'CA312'],
    ['with decimals of another kind', transmission(replaced('ID4*2*0840*USD', 'ID4*x*0840*USD')), 'not-a-number', 'ID401'],
    ['with letters for an amount', transmission(replaced('CA8*150*4200', 'CA8*1x0*4200')), 'not-a-number', 'CA801'],
    ['with a minus', transmission(replaced('CA8*150*4200', 'CA8*-150*4200')), 'not-a-number', 'CA801'],
    ['with a segment twice', transmission([...whole, 'CA8*150*4200']), 'twice', 'CA8'],
    ['with a wrong checksum', transmission(whole, { checksum: '0000' }), 'wrong-checksum', 'G8501'],
    ['without a checksum', bytesOf('DXS*A*VA*V0/6*3\nST*001*0001\nSE*2*0001\nDXE*3*1\n'), 'no-checksum', 'G85'],
    ['with a checksum that is not the last of its set', transmission(['G85*0000', ...whole]), 'wrong-checksum', 'G8501'],
    ['with a segment missing', transmission(whole, { count: 99 }), 'wrong-count', 'SE01'],
    ['cut in the middle', transmission(whole).slice(0, 120), 'cut-off', 'SE'],
    ['cut before its end', transmission(whole).slice(0, -11), 'cut-off', 'DXE'],
    ['under another number at its end', bytesOf('DXS*A*VA*V0/6*3\nST*001*0001\nSE*2*0002\nDXE*3*1\n'), 'wrong-control-number', 'SE02'],
    ['in another envelope', bytesOf('DXS*A*VA*V0/6*3\nST*001*0001\nSE*2*0001\nDXE*4*1\n'), 'wrong-control-number', 'DXE01'],
    ['with a count that is no plain number', transmission(whole, { count: `${String(whole.length + 3)}.0` }), 'wrong-count', 'SE01'],
    ['of two sets', bytesOf('DXS*A*VA*V0/6*3\nST*001*0001\nSE*2*0001\nST*001*0002\nSE*2*0002\nDXE*3*2\n'), 'wrong-count', 'DXE02'],
    ['that is something else', bytesOf('site,collected_on,machine\n'), 'not-audit-data', 'DXS'],
    ['without a set', bytesOf('DXS*A*VA*V0/6*3\nDXE*3*1\n'), 'not-audit-data', 'ST'],
    ['in UTF-16', Uint8Array.from([0xff, 0xfe, 0x44, 0, 0x58, 0, 0x53, 0]), 'not-text', 'DXS'],
  ])('is refused %s', (_what, bytes, code, element) => expect(readAuditData(bytes)).toMatchObject({ ok: false, refusal: { code, element } }));

  it.each([
    ['in the newer elements', 'CA3*62000*40000*12000**1450000*900000*300000**10000*250000'],
    ['in the older ones, in whole units of the currency', 'CA3*62000*40000*12000*100*1450000*900000*300000*2500'],
    ['in both, once in whole units', 'CA3*62000*40000*12000*100*1450000*900000*300000*2500*10000*250000'],
    ['in the older ones beside newer ones that are empty', 'CA3*62000*40000*12000*10000*1450000*900000*300000*250000*0*0'],
  ])('tells notes alike %s', (_how, cash) => {
    const read = readAuditData(transmission(replaced(CASH, cash)));
    expect(read.ok && read.data.figures.get('notesIn')).toEqual({ sinceReset: 10_000n, sinceSetUp: 250_000n });
  });
  it('takes a checksum in small letters and without leading zeros, and never reads what stands beside the set', () => {
    const sent = String.fromCharCode(...transmission(whole));
    const written = sent.replace(/G85\*0*([0-9A-F]+)/, (_all, digits: string) => `G85*${digits.toLowerCase()}`).replace('DXE*', 'CA8*9*9\r\nDXE*');
    expect(readAuditData(bytesOf(written))).toMatchObject({ ok: true });
  });

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
