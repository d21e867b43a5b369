import { infiniteQueryOptions, queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';

export const importsQuery = (api: OperatorApi) =>
  infiniteQueryOptions({
    queryKey: ['imports', 'list'],
    queryFn: ({ pageParam, signal }) => api.imports(pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });

export const importQuery = (api: OperatorApi, id: string) =>
  queryOptions({ queryKey: ['imports', 'file', id], queryFn: ({ signal }) => api.importFile(id, signal) });

export const importErrorsQuery = (api: OperatorApi, id: string) =>
  queryOptions({ queryKey: ['imports', 'errors', id], queryFn: ({ signal }) => api.importErrors(id, signal) });

export const importWarningsQuery = (api: OperatorApi, id: string) =>
  queryOptions({ queryKey: ['imports', 'warnings', id], queryFn: ({ signal }) => api.importWarnings(id, signal) });
