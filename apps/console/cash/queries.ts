import { queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';

export const cashTrailQuery = (api: OperatorApi, day: string) => queryOptions({ queryKey: ['cash', 'trail', day], queryFn: ({ signal }) => api.cashTrail(day, signal) });
export const cashGapsQuery = (api: OperatorApi, days: { readonly from: string; readonly to: string }) => queryOptions({ queryKey: ['cash', 'gaps', days], queryFn: ({ signal }) => api.cashGaps(days, signal) });
export const changeFundsQuery = (api: OperatorApi) => queryOptions({ queryKey: ['cash', 'funds'], queryFn: ({ signal }) => api.changeFunds(signal) });
export const ownOperatorQuery = (api: OperatorApi) => queryOptions({ queryKey: ['operator'], queryFn: ({ signal }) => api.ownOperator(signal), staleTime: 5 * 60_000 });
