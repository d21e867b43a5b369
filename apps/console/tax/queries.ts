import { queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';

export const taxAreasQuery = (api: OperatorApi) => queryOptions({ queryKey: ['tax', 'areas'], queryFn: ({ signal }) => api.taxAreas(signal) });

export const worksheetQuery = (api: OperatorApi, wanted: { readonly areaId: string; readonly month: string }) =>
  queryOptions({ queryKey: ['tax', 'worksheet', wanted], queryFn: ({ signal }) => api.worksheet(wanted, signal) });

export const taxPaymentsQuery = (api: OperatorApi, wanted: { readonly areaId: string; readonly month: string }) =>
  queryOptions({ queryKey: ['tax', 'payments', wanted], queryFn: ({ signal }) => api.taxPayments(wanted, signal) });
