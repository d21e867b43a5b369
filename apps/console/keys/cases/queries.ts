import { queryOptions } from '@tanstack/react-query';
import { everyPage } from '../../api/every-page';
import type { OperatorApi } from '../../api/operator-api';

export const casesQuery = (api: OperatorApi) => queryOptions({ queryKey: ['keys', 'cases'], queryFn: ({ signal }) => everyPage((cursor) => api.keyCases(cursor, signal)) });
export const caseQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: ['keys', 'cases', id], queryFn: ({ signal }) => api.keyCase(id, signal) });
export const exposedQuery = (api: OperatorApi, id: string) =>
  queryOptions({ queryKey: ['keys', 'cases', id, 'exposed'], queryFn: ({ signal }) => everyPage((cursor) => api.exposedCollections(id, cursor, signal)) });
