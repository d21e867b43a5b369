import { infiniteQueryOptions, queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';

/** Everything that a payment changes at a site lies under this key. */
export const atSite = (siteId: string) => ['sites', siteId] as const;

export const openItemsQuery = (api: OperatorApi, siteId: string) =>
  queryOptions({ queryKey: [...atSite(siteId), 'open-items'], queryFn: ({ signal }) => api.openItemsAt(siteId, signal) });

export const paymentsQuery = (api: OperatorApi, { siteId, ...account }: { siteId: string; agreementId: string; partyId: string }) =>
  infiniteQueryOptions({
    queryKey: [...atSite(siteId), 'payments', account],
    queryFn: ({ pageParam, signal }) => api.paymentsOf(account, pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });
