import * as sdk from '../generated';
import type { EnterRefundClaimData, ListRefundClaimData } from '../generated';
import { once, type Base } from './client';

export type NewRefundClaim = EnterRefundClaimData['body'];
export type RefundClaimFilter = Pick<NonNullable<ListRefundClaimData['query']>, 'siteId' | 'state'>;

/** What sites gave back to players, and what became of it. */
export function refundClaimsApi(base: Base) {
  return {
    refundClaims: async (filter: RefundClaimFilter, cursor: string | null, signal: AbortSignal) => (await sdk.listRefundClaim({ ...base, signal, query: { limit: 20, ...filter, ...(cursor === null ? {} : { cursor }) } })).data,
    enterRefundClaim: async (body: NewRefundClaim, key: string) => (await sdk.enterRefundClaim({ ...base, ...once(key), body })).data,
    refuseRefundClaim: async ({ id, reason }: { readonly id: string; readonly reason: string }, key: string) => (await sdk.refuseRefundClaim({ ...base, ...once(key), path: { id }, body: { reason } })).data,
    withdrawRefundClaim: async (id: string, key: string) => (await sdk.withdrawRefundClaim({ ...base, ...once(key), path: { id } })).data,
  };
}
