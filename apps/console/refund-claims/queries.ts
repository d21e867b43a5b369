import { infiniteQueryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';
import type { RefundClaimFilter } from '../api/refund-claims-api';

export const refundClaimsKey = ['refund-claims'] as const;

export const refundClaimsQuery = (api: OperatorApi, filter: RefundClaimFilter) =>
  infiniteQueryOptions({
    queryKey: [...refundClaimsKey, filter],
    queryFn: ({ pageParam, signal }) => api.refundClaims(filter, pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });
