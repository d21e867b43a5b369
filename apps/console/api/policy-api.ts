import * as sdk from '../generated';
import type { DecidePolicyData } from '../generated';
import { once, type Base } from './client';

/** Which rules the owner relaxed, and what was recorded that a rule would have refused. */
export function policyApi(base: Base) {
  return {
    policies: async (signal: AbortSignal) => (await sdk.readPolicy({ ...base, signal })).data,
    decidePolicy: async (body: DecidePolicyData['body'], key: string) => (await sdk.decidePolicy({ ...base, ...once(key), body })).data,
    relaxedRecords: async (cursor: string | null, signal: AbortSignal) =>
      (await sdk.relaxedPolicy({ ...base, signal, query: { limit: 50, ...(cursor === null ? {} : { cursor }) } })).data,
  };
}
