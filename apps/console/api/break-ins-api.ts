import * as sdk from '../generated';
import type { CorrectBreakInData, RecordBreakInData } from '../generated';
import { once, type Base } from './client';

export interface AtSite {
  /** Null: everywhere. */
  readonly siteId: string | null;
  readonly cursor: string | null;
}

/** A page of what is listed by site. */
export const pageAt = ({ siteId, cursor }: AtSite) => ({ ...(siteId === null ? {} : { siteId }), ...(cursor === null ? {} : { cursor }) });

/** Cash that was stolen out of boxes. */
export function breakInsApi(base: Base) {
  return {
    breakIns: async (asked: AtSite, signal: AbortSignal) => (await sdk.listBreakIn({ ...base, signal, query: pageAt(asked) })).data,
    recordBreakIn: async (body: RecordBreakInData['body'], key: string) => (await sdk.recordBreakIn({ ...base, ...once(key), body })).data,
    correctBreakIn: async ({ id, body }: { readonly id: string; readonly body: CorrectBreakInData['body'] }, key: string) => (await sdk.correctBreakIn({ ...base, ...once(key), path: { id }, body })).data,
  };
}
