import { crc16 } from '#domain/audit-data/crc';

export type ToldFigures = {
  readonly serial?: string;
  readonly assetNumber?: string;
  /** Amounts in cents, since the reset and since the set-up. */
  readonly box?: readonly [sinceReset: number, sinceSetUp: number];
  readonly tubes?: readonly [sinceReset: number, sinceSetUp: number];
  readonly notes?: readonly [sinceReset: number, sinceSetUp: number];
  readonly more?: readonly string[];
};

/** A transmission (EVA DTS) as a machine sends it, with its own counts and checksum. */
export function transmissionOf({ serial = '', assetNumber = '', box = [40_00, 900_00], tubes = [12_00, 300_00], notes = [100_00, 2_500_00], more = [] }: ToldFigures): string {
  const cash = [0, 1].map((side) => [(box[side] ?? 0) + (tubes[side] ?? 0) + (notes[side] ?? 0), box[side], tubes[side]].join('*'));
  return sealed([`ID1*${serial}*KIND*0100***${assetNumber}`, 'ID4*2*0840*USD', `CA3*${cash[0] ?? ''}**${cash[1] ?? ''}**${notes.join('*')}`, 'VA2*2500*10*100*1', ...more]);
}

/** Segments in their envelope. */
export function sealed(segments: readonly string[]): string {
  const set = ['ST*001*0001', ...segments].map((line) => `${line}\r\n`).join('');
  const crc = crc16(Buffer.from(set, 'latin1')).toString(16).toUpperCase().padStart(4, '0');
  return `DXS*INV0000001*VA*V0/6*1\r\n${set}G85*${crc}\r\nSE*${String(segments.length + 3)}*0001\r\nDXE*1*1\r\n`;
}
