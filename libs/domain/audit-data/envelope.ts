/**
 * The envelope of a transmission: DXS ... DXE around one set, ST ... SE, each line a segment whose elements are parted by
 * `*`. It says how many segments there are and has a checksum over them, so that nothing is missing and nothing changed.
 */
import { crc16 } from './crc';

export type AuditRefusal = {
  readonly code:
    | 'not-text'
    | 'not-audit-data'
    | 'cut-off'
    | 'no-checksum'
    | 'wrong-checksum'
    | 'wrong-count'
    | 'wrong-control-number'
    | 'not-a-number'
    | 'does-not-add-up'
    | 'unit-not-proved'
    | 'twice'
    | 'recycled';
  /** `CA302`; the segment where the whole of it is meant. */
  readonly element: string;
  /** Counted from 1. */
  readonly line: number;
};

export interface Segment {
  readonly id: string;
  /** By place, from 1; place 0 is the id. */
  readonly elements: readonly string[];
  readonly line: number;
}

export type Opened = { readonly ok: true; readonly segments: readonly Segment[] } | { readonly ok: false; readonly refusal: AuditRefusal };

/** The segments of a set that arrived whole and unchanged. What some makers add between set and envelope nothing checks, and nobody reads. */
export function openEnvelope(bytes: Uint8Array): Opened {
  const refuse = (code: AuditRefusal['code'], element: string): Opened => ({ ok: false, refusal: { code, element, line: 1 } });
  const text = asciiOf(bytes);
  if (text === null) return refuse('not-text', 'DXS');
  const segments = segmentsOf(text);
  if (segments[0]?.id !== 'DXS') return refuse('not-audit-data', 'DXS');
  const refusal = wrongEnvelope(segments) ?? wrongChecksum(text, segments);
  if (refusal !== null) return { ok: false, refusal };
  return { ok: true, segments: segments.slice(segments.findIndex(({ id }) => id === 'ST'), segments.findIndex(({ id }) => id === 'SE') + 1) };
}

/** Printable ASCII with line ends; null for anything else, as UTF-16 or a picture. */
function asciiOf(bytes: Uint8Array): string | null {
  const parts: string[] = [];
  for (let from = 0; from < bytes.length; from += 8_192) {
    const chunk = bytes.subarray(from, from + 8_192);
    if (chunk.some((byte) => byte > 126 || (byte < 32 && byte !== 13 && byte !== 10))) return null;
    parts.push(String.fromCharCode(...chunk));
  }
  return parts.join('');
}

function segmentsOf(text: string): Segment[] {
  return text.split(/\r\n|\r|\n/).flatMap((line, index) => {
    if (line.trim() === '') return [];
    const elements = line.split('*');
    return [{ id: elements[0] ?? '', elements, line: index + 1 }];
  });
}

/** One set, whole, with as many segments as it says, under the control numbers of its beginning. */
function wrongEnvelope(segments: readonly Segment[]): AuditRefusal | null {
  const last = segments.at(-1);
  const at = (id: string): number => segments.findIndex((segment) => segment.id === id);
  const [start, end] = [segments[at('ST')], segments[at('SE')]];
  if (start === undefined) return { code: 'not-audit-data', element: 'ST', line: 2 };
  if (end === undefined) return { code: 'cut-off', element: 'SE', line: last?.line ?? 1 };
  if (last?.id !== 'DXE') return { code: 'cut-off', element: 'DXE', line: last?.line ?? 1 };
  const count = at('SE') - at('ST') + 1;
  if (!saysCount(end.elements[1], count)) return { code: 'wrong-count', element: 'SE01', line: end.line };
  if (end.elements[2] !== start.elements[2]) return { code: 'wrong-control-number', element: 'SE02', line: end.line };
  if (last.elements[1] !== segments[0]?.elements[4]) return { code: 'wrong-control-number', element: 'DXE01', line: last.line };
  const sets = segments.filter(({ id }) => id === 'ST').length;
  return saysCount(last.elements[2], sets) && sets === 1 ? null : { code: 'wrong-count', element: 'DXE02', line: last.line };
}

/** Digits alone: `1e1` and ` 10` are how no machine writes ten, and leading zeros are. */
function saysCount(written: string | undefined, count: number): boolean {
  return /^\d{1,6}$/.test(written ?? '') && Number(written) === count;
}

/** Over everything from ST up to the checksum's own line, line ends included; that line is the last before SE. */
function wrongChecksum(text: string, segments: readonly Segment[]): AuditRefusal | null {
  const at = segments.findIndex(({ id }) => id === 'G85');
  const stated = segments[at];
  // The standard has it in every transmission: one without it lost the line, or the line's name.
  if (stated === undefined) return { code: 'no-checksum', element: 'G85', line: segments.at(-1)?.line ?? 1 };
  const refusal: AuditRefusal = { code: 'wrong-checksum', element: 'G8501', line: stated.line };
  const from = /(^|[\r\n])ST\*/.exec(text);
  const until = /(^|[\r\n])G85\*/.exec(text);
  if (from === null || until === null || segments[at + 1]?.id !== 'SE') return refusal;
  const covered = text.slice(from.index + (from[1]?.length ?? 0), until.index + (until[1]?.length ?? 0));
  const crc = crc16(Uint8Array.from(covered, (letter) => letter.charCodeAt(0)));
  // Some machines leave leading zeros out, some write small letters.
  const digits = /^[0-9A-Fa-f]{1,4}$/.exec(stated.elements[1] ?? '')?.[0];
  return digits !== undefined && Number.parseInt(digits, 16) === crc ? null : refusal;
}
