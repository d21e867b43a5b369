import { infiniteQueryOptions, queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';
import type { AttributionAsked, FlagsAsked, ReportAsked } from '../api/variances-api';

export const varianceMonthQuery = (api: OperatorApi, asked: { readonly month: string; readonly siteId?: string }) =>
  queryOptions({ queryKey: ['variances', 'month', asked], queryFn: ({ signal }) => api.varianceMonth(asked, signal) });
export const varianceFlagsQuery = (api: OperatorApi, asked: FlagsAsked) =>
  infiniteQueryOptions({
    queryKey: ['variances', 'flags', asked],
    queryFn: ({ pageParam, signal }) => api.varianceFlags(asked, pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });
export const varianceReportQuery = (api: OperatorApi, asked: ReportAsked) => queryOptions({ queryKey: ['variances', 'report', asked], queryFn: ({ signal }) => api.varianceReport(asked, signal) });
export const varianceChartQuery = (api: OperatorApi, machineId: string) => queryOptions({ queryKey: ['variances', 'chart', machineId], queryFn: ({ signal }) => api.varianceChart(machineId, signal) });
export const varianceFlagQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: ['variances', 'flag', id], queryFn: ({ signal }) => api.varianceFlag(id, signal) });
export const collectionVariancesQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: ['variances', 'collection', id], queryFn: ({ signal }) => api.collectionVariances(id, signal) });

/** Each asking is recorded under the asker's name, so it is asked once and not again in passing. */
export const varianceAttributionQuery = (api: OperatorApi, asked: AttributionAsked) =>
  queryOptions({
    queryKey: ['variances', 'attribution', asked],
    queryFn: ({ signal }) => api.varianceAttribution(asked, signal),
    staleTime: Infinity,
    refetchOnWindowFocus: false,
    refetchOnReconnect: false,
  });
