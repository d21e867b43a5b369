import { infiniteQueryOptions } from '@tanstack/react-query';
import type { CollectionFilter } from '../api/collections-api';
import type { OperatorApi } from '../api/operator-api';

export const collectionsQuery = (api: OperatorApi, filter: CollectionFilter) =>
  infiniteQueryOptions({
    queryKey: ['collections', filter],
    queryFn: ({ pageParam, signal }) => api.collections(filter, pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });
