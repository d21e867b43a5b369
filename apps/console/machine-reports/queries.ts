import { infiniteQueryOptions, queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';

export const machineTokensQuery = (api: OperatorApi) => queryOptions({ queryKey: ['machine-tokens'], queryFn: ({ signal }) => api.machineTokens(signal) });
export const machineFaultsQuery = (api: OperatorApi) => queryOptions({ queryKey: ['machine-faults'], queryFn: ({ signal }) => api.machineFaults(signal) });
export const outagesQuery = (api: OperatorApi) =>
  infiniteQueryOptions({
    queryKey: ['outages'],
    queryFn: ({ pageParam, signal }) => api.outages(pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });
