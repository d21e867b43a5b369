import { infiniteQueryOptions, queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';

export const taxAreasQuery = (api: OperatorApi) => queryOptions({ queryKey: ['tax', 'areas'], queryFn: ({ signal }) => api.taxAreas(signal) });

export const worksheetQuery = (api: OperatorApi, wanted: { readonly areaId: string; readonly month: string }) =>
  queryOptions({ queryKey: ['tax', 'worksheet', wanted], queryFn: ({ signal }) => api.worksheet(wanted, signal) });

export const taxPaymentsQuery = (api: OperatorApi, wanted: { readonly areaId: string; readonly month: string }) =>
  queryOptions({ queryKey: ['tax', 'payments', wanted], queryFn: ({ signal }) => api.taxPayments(wanted, signal) });

/** What was filed for an area, the latest month first. */
export const taxReturnsQuery = (api: OperatorApi, areaId: string) =>
  infiniteQueryOptions({
    queryKey: ['tax', 'returns', areaId],
    queryFn: ({ pageParam, signal }) => api.taxReturns(areaId, pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });

export const taxReturnQuery = (api: OperatorApi, wanted: { readonly areaId: string; readonly returnId: string }) =>
  queryOptions({ queryKey: ['tax', 'return', wanted], queryFn: ({ signal }) => api.taxReturn(wanted, signal) });
