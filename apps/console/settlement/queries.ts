import { queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';

/** How often a settlement whose statement is being rendered is looked at again. */
const pollEveryMs = 1500;

export const settlementQuery = (api: OperatorApi, id: string) =>
  queryOptions({
    queryKey: ['settlement', id],
    queryFn: ({ signal }) => api.settlement(id, signal),
    refetchInterval: ({ state }) => (state.data?.state === 'numbered' ? pollEveryMs : false),
  });
