import * as sdk from '../generated';
import type { DecideRetentionData, PlaceRetentionData } from '../generated';
import { once, type Base } from './client';
import type { RetentionRule } from './shapes';

/** For how long records are kept, and what stops removing. */
export function retentionApi(base: Base) {
  return {
    retention: async (signal: AbortSignal) => (await sdk.readRetention({ ...base, signal })).data,
    retentionPreview: async (as: { readonly kind: RetentionRule['kind']; readonly keep: number } | null, signal: AbortSignal) => (await sdk.previewRetention({ ...base, signal, query: as ?? {} })).data,
    decideRetention: async (body: DecideRetentionData['body'], key: string) => (await sdk.decideRetention({ ...base, ...once(key), body })).data,
    placeHold: async (body: PlaceRetentionData['body'], key: string) => (await sdk.placeRetention({ ...base, ...once(key), body })).data,
    liftHold: async ({ id, reason }: { readonly id: string; readonly reason: string }, key: string) => (await sdk.liftRetention({ ...base, ...once(key), path: { id }, body: { reason } })).data,
  };
}
