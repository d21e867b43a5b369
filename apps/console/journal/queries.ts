import { infiniteQueryOptions, queryOptions } from '@tanstack/react-query';
import type { Days } from '../api/journal-api';
import type { OperatorApi } from '../api/operator-api';

export const chartQuery = (api: OperatorApi) =>
  queryOptions({ queryKey: ['journal', 'chart'], queryFn: ({ signal }) => api.chartOfAccounts(signal), staleTime: Number.POSITIVE_INFINITY });

export const trialBalanceQuery = (api: OperatorApi, days: Days) =>
  queryOptions({ queryKey: ['journal', 'balance', days], queryFn: ({ signal }) => api.trialBalance(days, signal) });

export const entriesQuery = (api: OperatorApi, days: Days) =>
  infiniteQueryOptions({
    queryKey: ['journal', 'entries', days],
    queryFn: ({ pageParam, signal }) => api.journalEntries(days, pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });
