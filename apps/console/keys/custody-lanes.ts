import type { CopyHistory } from '../api/shapes';

type Stay = CopyHistory['stays'][number];

export interface Lane {
  readonly key: string;
  /** Name of who or what had it; null where nobody did. */
  readonly name: string | null;
  readonly kind: 'person' | 'store' | 'place' | 'missing' | 'destroyed';
  /** Milliseconds since 1970; what goes on ends at the end of the picture. */
  readonly spans: readonly { readonly from: number; readonly to: number }[];
}

/** Each who or what had a copy, with the times when it was there, in the order in which they first had it. */
export function lanesOf(stays: readonly Stay[], end: number): readonly Lane[] {
  const lanes = new Map<string, Lane>();
  for (const { state, holder, from, to } of stays) {
    const key = holder?.id ?? state;
    const kind = holder?.kind ?? (state === 'destroyed' ? 'destroyed' : 'missing');
    const lane = lanes.get(key) ?? { key, name: holder?.name ?? null, kind, spans: [] };
    lanes.set(key, { ...lane, spans: [...lane.spans, { from: Date.parse(from), to: to === null ? Math.max(end, Date.parse(from)) : Date.parse(to) }] });
  }
  return [...lanes.values()];
}
