import type { CopyHistory } from '../api/shapes';

type Stay = CopyHistory['stays'][number];

export type LaneKind = 'person' | 'store' | 'place' | 'missing' | 'destroyed';

export interface Lane {
  readonly key: string;
  /** Name of who or what had it; null where nobody did. */
  readonly name: string | null;
  readonly kind: LaneKind;
  /** Milliseconds since 1970; what goes on ends at the end of the picture. */
  readonly spans: readonly { readonly from: number; readonly to: number }[];
}

/** One copy among others: where it was from when to when. */
export interface CopyLane {
  readonly key: string;
  readonly number: string;
  readonly spans: readonly { readonly from: number; readonly to: number; readonly kind: LaneKind }[];
}

const kindOf = ({ holder, state }: Stay): LaneKind => holder?.kind ?? (state === 'destroyed' ? 'destroyed' : 'missing');
const spanOf = ({ from, to }: Stay, end: number) => ({ from: Date.parse(from), to: to === null ? Math.max(end, Date.parse(from)) : Date.parse(to) });

/** Each who or what had a copy, with the times when it was there, in the order in which they first had it. */
export function lanesOf(stays: readonly Stay[], end: number): readonly Lane[] {
  const lanes = new Map<string, Lane>();
  for (const stay of stays) {
    const { state, holder } = stay;
    const key = holder?.id ?? state;
    const lane = lanes.get(key) ?? { key, name: holder?.name ?? null, kind: kindOf(stay), spans: [] };
    lanes.set(key, { ...lane, spans: [...lane.spans, spanOf(stay, end)] });
  }
  return [...lanes.values()];
}

/** Each copy with where it was, in the order of their numbers. */
export function copyLanesOf(histories: readonly Pick<CopyHistory, 'keyCopyId' | 'number' | 'stays'>[], end: number): readonly CopyLane[] {
  return histories
    .map(({ keyCopyId, number, stays }) => ({ key: keyCopyId, number, spans: stays.map((stay) => ({ ...spanOf(stay, end), kind: kindOf(stay) })) }))
    .toSorted((one, other) => one.number.localeCompare(other.number, undefined, { numeric: true }));
}
