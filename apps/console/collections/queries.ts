import { infiniteQueryOptions, queryOptions } from '@tanstack/react-query';
import type { AtSite } from '../api/break-ins-api';
import type { CollectionFilter } from '../api/collections-api';
import type { OperatorApi } from '../api/operator-api';

export const collectionsQuery = (api: OperatorApi, filter: CollectionFilter) =>
  infiniteQueryOptions({
    queryKey: ['collections', filter],
    queryFn: ({ pageParam, signal }) => api.collections(filter, pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });

export const collectionQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: ['collections', id], queryFn: ({ signal }) => api.collection(id, signal) });
export const fieldCountsQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: ['collections', id, 'field-counts'], queryFn: ({ signal }) => api.fieldCounts(id, signal) });
export const uncountedQuery = (api: OperatorApi, collectionId: string | null) => queryOptions({ queryKey: ['collections', 'uncounted', collectionId], queryFn: ({ signal }) => api.uncountedBoxes(collectionId, signal) });
export const toCountKey = ['collections', 'to-count'] as const;
export const toCountQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: [...toCountKey, id], queryFn: ({ signal }) => api.toCount(id, signal) });
export const siteBoxesQuery = (api: OperatorApi, siteId: string, at: string | null) => queryOptions({ queryKey: ['site-boxes', siteId, at], queryFn: ({ signal }) => api.siteBoxes(siteId, at, signal) });
export const coinSetsQuery = (api: OperatorApi) => queryOptions({ queryKey: ['coin-sets'], queryFn: ({ signal }) => api.coinSets(signal) });

export const keyCheckQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: ['collections', id, 'key-check'], queryFn: ({ signal }) => api.keyCheck(id, signal) });

const listedAt = <Item>(queryKey: readonly unknown[], siteId: string | null, ask: (asked: AtSite, signal: AbortSignal) => Promise<{ readonly items: Item[]; readonly next: string | null }>) =>
  infiniteQueryOptions({
    queryKey: [...queryKey, siteId],
    queryFn: ({ pageParam, signal }) => ask({ siteId, cursor: pageParam }, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });
export const breakInsKey = ['break-ins'] as const;
export const breakInsQuery = (api: OperatorApi, siteId: string | null) => listedAt(breakInsKey, siteId, api.breakIns);
export const cardTakingsKey = ['card-takings'] as const;
export const cardTakingsQuery = (api: OperatorApi, siteId: string | null) => listedAt(cardTakingsKey, siteId, api.cardTakings);
