/**
 * Reads a transmission of audit data: an envelope (DXS ... DXE) around one set (ST ... SE), each line a segment whose
 * elements are parted by `*`. What does not add up is refused by the element that is wrong; nothing is guessed.
 */
import { crc16 } from './crc';
import { elementOf, figurePlaces, type FigureName } from './elements';

/** A figure in minor units as the machine holds it: since its last reset, and since it was set up. Null where it tells none. */
export interface Figure {
  readonly sinceResetMinor: bigint | null;
  readonly sinceSetUpMinor: bigint | null;
}

export interface AuditData {
  /** As the transmission names itself, the same when it is sent again. */
  readonly transmission: { readonly sender: string; readonly control: string };
  /** Serial number of the machine; null where it gives none. */
  readonly machineSerial: string | null;
  /** ISO 4217 letters; null where it gives none. */
  readonly currency: string | null;
  /** Digits after the decimal mark in its amounts; null where it does not say. */
  readonly decimals: number | null;
  readonly figures: ReadonlyMap<FigureName, Figure>;
  /** The check was made, or the transmission carries none. */
  readonly checksum: 'right' | 'none';
}

export type AuditRefusal = {
  readonly code: 'not-text' | 'not-audit-data' | 'cut-off' | 'wrong-checksum' | 'wrong-count' | 'wrong-control-number' | 'not-a-number' | 'does-not-add-up' | 'twice';
  /** `CA302`; the segment where the whole of it is meant. */
  readonly element: string;
  /** Counted from 1. */
  readonly line: number;
};

interface Segment {
  readonly id: string;
  /** By place, from 1; place 0 is the id. */
  readonly elements: readonly string[];
  readonly line: number;
}

export function readAuditData(bytes: Uint8Array): { readonly ok: true; readonly data: AuditData } | { readonly ok: false; readonly refusal: AuditRefusal } {
  const text = asciiOf(bytes);
  if (text === null) return refuse('not-text', 'DXS', 1);
  const segments = segmentsOf(text);
  const [first] = segments;
  if (first?.id !== 'DXS') return refuse('not-audit-data', 'DXS', 1);
  const refusal = wrongEnvelope(segments) ?? wrongChecksum(text, segments) ?? repeated(segments) ?? wrongNumber(segments);
  if (refusal !== null) return { ok: false, refusal };
  const figures = figuresOf(segments);
  const sums = checkSums(figures, segments);
  if (sums !== null) return { ok: false, refusal: sums };
  const find = (id: string): Segment | undefined => segments.find((segment) => segment.id === id);
  const decimals = find('ID4')?.elements[1];
  return {
    ok: true,
    data: {
      transmission: { sender: first.elements[1] ?? '', control: first.elements[4] ?? '' },
      machineSerial: nonEmpty(find('ID1')?.elements[1]),
      currency: nonEmpty(find('ID4')?.elements[3]),
      decimals: decimals !== undefined && /^[0-9]$/.test(decimals) ? Number(decimals) : null,
      figures,
      checksum: find('G85') === undefined ? 'none' : 'right',
    },
  };
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
  if (Number(end.elements[1]) !== count) return { code: 'wrong-count', element: 'SE01', line: end.line };
  if (end.elements[2] !== start.elements[2]) return { code: 'wrong-control-number', element: 'SE02', line: end.line };
  if (last.elements[1] !== segments[0]?.elements[4]) return { code: 'wrong-control-number', element: 'DXE01', line: last.line };
  const sets = segments.filter(({ id }) => id === 'ST').length;
  return Number(last.elements[2]) === sets && sets === 1 ? null : { code: 'wrong-count', element: 'DXE02', line: last.line };
}

/** Over everything from ST up to the checksum's own line, line ends included. */
function wrongChecksum(text: string, segments: readonly Segment[]): AuditRefusal | null {
  const stated = segments.find(({ id }) => id === 'G85');
  if (stated === undefined) return null;
  const from = /(^|[\r\n])ST\*/.exec(text);
  const until = /(^|[\r\n])G85\*/.exec(text);
  if (from === null || until === null) return { code: 'wrong-checksum', element: 'G8501', line: stated.line };
  const covered = text.slice(from.index + (from[1]?.length ?? 0), until.index + (until[1]?.length ?? 0));
  const crc = crc16(Uint8Array.from(covered, (letter) => letter.charCodeAt(0)));
  return stated.elements[1]?.toUpperCase() === crc.toString(16).toUpperCase().padStart(4, '0') ? null : { code: 'wrong-checksum', element: 'G8501', line: stated.line };
}

/** Which of two would be right nobody can say. */
function repeated(segments: readonly Segment[]): AuditRefusal | null {
  const known = new Set(figurePlaces.map(({ segment }) => segment));
  const seen = new Set<string>();
  for (const { id, line } of segments) {
    if (!known.has(id)) continue;
    if (seen.has(id)) return { code: 'twice', element: id, line };
    seen.add(id);
  }
  return null;
}

function wrongNumber(segments: readonly Segment[]): AuditRefusal | null {
  for (const { segment, sinceReset, sinceSetUp } of figurePlaces) {
    const found = segments.find(({ id }) => id === segment);
    for (const place of [sinceReset, sinceSetUp]) {
      const value = found?.elements[place] ?? '';
      if (value !== '' && !/^\d{1,15}$/.test(value)) return { code: 'not-a-number', element: elementOf(segment, place), line: found?.line ?? 1 };
    }
  }
  return null;
}

function figuresOf(segments: readonly Segment[]): Map<FigureName, Figure> {
  const figures = new Map<FigureName, Figure>();
  for (const { name, segment, sinceReset, sinceSetUp } of figurePlaces) {
    const found = segments.find(({ id }) => id === segment);
    if (found === undefined) continue;
    const minor = (place: number): bigint | null => (nonEmpty(found.elements[place]) === null ? null : BigInt(found.elements[place] ?? '0'));
    figures.set(name, { sinceResetMinor: minor(sinceReset), sinceSetUpMinor: minor(sinceSetUp) });
  }
  return figures;
}

/** Cash that came in went to the box, to the tubes or was notes; and no figure since the reset is larger than since the set-up. */
function checkSums(figures: ReadonlyMap<FigureName, Figure>, segments: readonly Segment[]): AuditRefusal | null {
  const lineOf = (segment: string): number => segments.find(({ id }) => id === segment)?.line ?? 1;
  for (const side of ['sinceResetMinor', 'sinceSetUpMinor'] as const) {
    const [cashIn, toBox, toTubes, notesIn] = (['cashIn', 'toBox', 'toTubes', 'notesIn'] as const).map((name) => figures.get(name)?.[side] ?? null);
    if (cashIn === null || cashIn === undefined || toBox === null || toBox === undefined) continue;
    if (toBox + (toTubes ?? 0n) + (notesIn ?? 0n) !== cashIn) return { code: 'does-not-add-up', element: side === 'sinceResetMinor' ? 'CA301' : 'CA305', line: lineOf('CA3') };
  }
  for (const { name, segment, sinceReset } of figurePlaces) {
    const { sinceResetMinor, sinceSetUpMinor } = figures.get(name) ?? { sinceResetMinor: null, sinceSetUpMinor: null };
    if (sinceResetMinor !== null && sinceSetUpMinor !== null && sinceResetMinor > sinceSetUpMinor) return { code: 'does-not-add-up', element: elementOf(segment, sinceReset), line: lineOf(segment) };
  }
  return null;
}

function nonEmpty(value: string | undefined): string | null {
  return value === undefined || value === '' ? null : value;
}

function refuse(code: AuditRefusal['code'], element: string, line: number) {
  return { ok: false, refusal: { code, element, line } } as const;
}
