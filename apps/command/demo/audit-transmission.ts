import { crc16 } from '#domain/audit-data/crc';

type Told = { readonly coinMinor: bigint; readonly noteMinor: bigint };

/** Numbers of currencies (ISO 4217). */
const numbers: Readonly<Record<string, string>> = { USD: '0840', EUR: '0978' };

/** What a machine says of its cash when it is read out (EVA DTS), with its own counts and checksum. All coins went to the box. */
export function transmissionOf({ machineTag, currency, sinceReset, sinceSetUp }: { readonly machineTag: string; readonly currency: string; readonly sinceReset: Told; readonly sinceSetUp: Told }): Uint8Array {
  const cash = ({ coinMinor, noteMinor }: Told): string => [coinMinor + noteMinor, coinMinor, 0n].join('*');
  const segments = ['ST*001*0001', `ID1**KIND*0100***${machineTag}`, `ID4*2*${numbers[currency] ?? ''}*${currency}`, `CA3*${cash(sinceReset)}**${cash(sinceSetUp)}**${sinceReset.noteMinor}*${sinceSetUp.noteMinor}`];
  const set = segments.map((segment) => `${segment}\r\n`).join('');
  const checksum = crc16(Buffer.from(set, 'latin1')).toString(16).toUpperCase().padStart(4, '0');
  return Buffer.from(`DXS*INV0000001*VA*V0/6*1\r\n${set}G85*${checksum}\r\nSE*${String(segments.length + 2)}*0001\r\nDXE*1*1\r\n`, 'latin1');
}
