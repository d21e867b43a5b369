import { infiniteQueryOptions, queryOptions } from '@tanstack/react-query';
import type { CollectionFilter } from '../api/collections-api';
import type { OperatorApi } from '../api/operator-api';

export const collectionsQuery = (api: OperatorApi, filter: CollectionFilter) =>
  infiniteQueryOptions({
    queryKey: ['collections', filter],
    queryFn: ({ pageParam, signal }) => api.collections(filter, pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });

export const keyCheckQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: ['collections', id, 'key-check'], queryFn: ({ signal }) => api.keyCheck(id, signal) });
