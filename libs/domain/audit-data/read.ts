/**
 * Reads a transmission of audit data. What does not add up is refused by the element that is wrong; nothing is guessed.
 */
import { elementOf, elementOfFigure, figurePlaces, type FigureName } from './elements';
import { openEnvelope, type AuditRefusal, type Segment } from './envelope';
import { provedNotes, wrongSums, type Figure, type Figures } from './sums';

export interface AuditData {
  /** Serial number of the machine (ID101); null where it gives none. */
  readonly serial: string | null;
  /** Number under which the operator keeps it (ID106); null where it gives none. */
  readonly assetNumber: string | null;
  /** ISO 4217 letters; null where it gives none. */
  readonly currency: string | null;
  /** Digits after the decimal mark in its amounts; null where it does not say. */
  readonly decimals: number | null;
  /** Day and time of the read-out by the machine's own clock, as the file writes them; null where it gives none. */
  readonly clock: { readonly day: string; readonly time: string | null } | null;
  /** As the file writes them: see {@link Figure}. Notes are under `notesIn`, whichever element told of them. */
  readonly figures: Figures;
}

export type ReadAuditData = { readonly ok: true; readonly data: AuditData } | { readonly ok: false; readonly refusal: AuditRefusal };

export function readAuditData(bytes: Uint8Array): ReadAuditData {
  const opened = openEnvelope(bytes);
  if (!opened.ok) return opened;
  const { segments } = opened;
  const refusal = repeated(segments) ?? wrongNumber(segments);
  if (refusal !== null) return { ok: false, refusal };
  const find = (id: string): Segment | undefined => segments.find((segment) => segment.id === id);
  const decimals = nonEmpty(find('ID4')?.elements[1]);
  if (decimals !== null && !/^[0-4]$/.test(decimals)) return { ok: false, refusal: { code: 'not-a-number', element: 'ID401', line: find('ID4')?.line ?? 1 } };
  const written = figuresOf(segments);
  const notes = provedNotes(written, decimals === null ? null : Number(decimals));
  const figures = new Map([...written, ...(notes.ok && written.has('cashIn') ? [['notesIn', notes.notes] as const] : [])]);
  figures.delete('notesInOlder');
  const wrong = notes.ok ? (recycled(figures) ?? wrongSums(figures)) : notes.wrong;
  if (wrong !== null) return { ok: false, refusal: { ...wrong, line: find(/^[A-Z]+\d+(?=\d\d$)/.exec(wrong.element)?.[0] ?? '')?.line ?? 1 } };
  return {
    ok: true,
    data: {
      serial: nonEmpty(find('ID1')?.elements[1]),
      assetNumber: nonEmpty(find('ID1')?.elements[6]),
      currency: nonEmpty(find('ID4')?.elements[3]),
      decimals: decimals === null ? null : Number(decimals),
      clock: clockOf(find('EA3')),
      figures,
    },
  };
}

/** Which of two would be right nobody can say. */
function repeated(segments: readonly Segment[]): AuditRefusal | null {
  const known = new Set(['ID1', 'ID4', 'G85', ...figurePlaces.map(({ segment }) => segment)]);
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
      const value = place === null ? '' : (found?.elements[place] ?? '');
      if (place !== null && value !== '' && !/^\d{1,15}$/.test(value)) return { code: 'not-a-number', element: elementOf(segment, place), line: found?.line ?? 1 };
    }
  }
  return null;
}

function figuresOf(segments: readonly Segment[]): Map<FigureName, Figure> {
  const figures = new Map<FigureName, Figure>();
  for (const { name, segment, sinceReset, sinceSetUp } of figurePlaces) {
    const found = segments.find(({ id }) => id === segment);
    if (found === undefined) continue;
    const value = (place: number | null): bigint | null => (place === null || nonEmpty(found.elements[place]) === null ? null : BigInt(found.elements[place] ?? '0'));
    const figure = { sinceReset: value(sinceReset), sinceSetUp: value(sinceSetUp) };
    if (figure.sinceReset !== null || figure.sinceSetUp !== null) figures.set(name, figure);
  }
  return figures;
}

/** Notes that went on into a recycler and may have been paid out again: the file does not say what of them is in the box. */
function recycled(figures: Figures): Pick<AuditRefusal, 'code' | 'element'> | null {
  const total = figures.get('notesToRecycler')?.sinceSetUp ?? 0n;
  return total > 0n ? { code: 'recycled', element: elementOfFigure('notesToRecycler', 'sinceSetUp') } : null;
}

/** Years are written with two digits or with four, times with or without seconds. */
function clockOf(segment: Segment | undefined): AuditData['clock'] {
  const day = /^(?:20)?(\d\d)(\d\d)(\d\d)$/.exec(segment?.elements[2] ?? '');
  if (day === null) return null;
  const time = /^(\d\d)(\d\d)(?:\d\d)?$/.exec(segment?.elements[3] ?? '');
  return { day: `20${day[1] ?? ''}-${day[2] ?? ''}-${day[3] ?? ''}`, time: time === null ? null : `${time[1] ?? ''}:${time[2] ?? ''}` };
}

function nonEmpty(value: string | undefined): string | null {
  const text = value?.trim() ?? '';
  return text === '' ? null : text;
}
