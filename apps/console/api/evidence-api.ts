import * as sdk from '../generated';
import type { Base } from './client';

/** The evidence log: where it is now, which heads went outside, and proofs between heads. */
export function evidenceApi(base: Base) {
  return {
    evidenceHead: async (signal?: AbortSignal) => (await sdk.headEvidence({ ...base, ...(signal === undefined ? {} : { signal }) })).data,
    evidenceConsistency: async (from: number) => (await sdk.consistencyEvidence({ ...base, query: { from } })).data,
    mailedHeads: async (cursor: string | null, signal: AbortSignal) => (await sdk.listMailedHeads({ ...base, signal, query: cursor === null ? {} : { cursor } })).data,
    stampedHeads: async (cursor: string | null, signal: AbortSignal) => (await sdk.timestampsEvidence({ ...base, signal, query: cursor === null ? {} : { cursor } })).data,
  };
}
