import * as sdk from '../generated';
import type { EnterRefundClaimData, ListRefundClaimData } from '../generated';
import { once, type Base } from './client';

export type NewRefundClaim = EnterRefundClaimData['body'];
export type RefundClaimFilter = Pick<NonNullable<ListRefundClaimData['query']>, 'siteId' | 'state'>;

/** What sites gave back to players, and what became of it. */
export function refundClaimsApi(base: Base) {
  return {
    refundClaims: async (filter: RefundClaimFilter, cursor: string | null, signal: AbortSignal) => (await sdk.listRefundClaim({ ...base, signal, query: { limit: 20, ...filter, ...(cursor === null ? {} : { cursor }) } })).data,
    enterRefundClaim: async (body: NewRefundClaim) => (await sdk.enterRefundClaim({ ...base, ...once(), body })).data,
    refuseRefundClaim: async ({ id, reason }: { readonly id: string; readonly reason: string }) => (await sdk.refuseRefundClaim({ ...base, ...once(), path: { id }, body: { reason } })).data,
    withdrawRefundClaim: async (id: string) => (await sdk.withdrawRefundClaim({ ...base, ...once(), path: { id } })).data,
  };
}
