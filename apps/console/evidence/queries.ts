import { infiniteQueryOptions, queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';

export const headQuery = (api: OperatorApi) => queryOptions({ queryKey: ['evidence', 'head'], queryFn: ({ signal }) => api.evidenceHead(signal) });

const paged = { initialPageParam: null as string | null, getNextPageParam: (page: { next: string | null }) => page.next };

export const mailedHeadsQuery = (api: OperatorApi) => infiniteQueryOptions({ queryKey: ['evidence', 'mailed'], queryFn: ({ pageParam, signal }) => api.mailedHeads(pageParam, signal), ...paged });

export const stampedHeadsQuery = (api: OperatorApi) => infiniteQueryOptions({ queryKey: ['evidence', 'stamped'], queryFn: ({ pageParam, signal }) => api.stampedHeads(pageParam, signal), ...paged });
