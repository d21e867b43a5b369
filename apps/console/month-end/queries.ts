import { infiniteQueryOptions, queryOptions, type QueryClient } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';
import type { PeriodKey } from './period';

/** How often a running close is asked how far it is. */
const pollEveryMs = 1000;
/** Mails go out once a minute. */
const mailPollEveryMs = 20_000;

export const periodsQuery = (api: OperatorApi) =>
  queryOptions({ queryKey: ['month-end', 'periods'], queryFn: ({ signal }) => api.periods(signal) });

export const monthEndQuery = (api: OperatorApi, period: PeriodKey) =>
  queryOptions({ queryKey: ['month-end', 'summary', period], queryFn: ({ signal }) => api.monthEnd(period, signal) });

export const agreementsQuery = (api: OperatorApi, period: PeriodKey) =>
  infiniteQueryOptions({
    queryKey: ['month-end', 'agreements', period],
    queryFn: ({ pageParam, signal }) => api.agreementsOfPeriod(period, pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });

export const closeQuery = (api: OperatorApi, closeId: string) =>
  queryOptions({
    queryKey: ['month-end', 'close', closeId],
    queryFn: ({ signal }) => api.close(closeId, signal),
    // Not from the first answer on only: whatever is started later, here or by a colleague, is followed too.
    refetchInterval: ({ state }) => (state.data?.progress.running === true ? pollEveryMs : false),
  });

export const statementMailsQuery = (api: OperatorApi, closeId: string) =>
  queryOptions({
    queryKey: ['month-end', 'mails', closeId],
    queryFn: ({ signal }) => api.statementMails(closeId, signal),
    refetchInterval: ({ state }) => (state.data !== undefined && state.data.waiting > 0 ? mailPollEveryMs : false),
  });

export const journalPeriodsQuery = (api: OperatorApi) =>
  queryOptions({ queryKey: ['journal', 'periods'], queryFn: ({ signal }) => api.journalPeriods(signal) });

export const lateChangesQuery = (api: OperatorApi) =>
  // They come from elsewhere, a collection or a correction, so each look is a fresh one.
  queryOptions({ queryKey: ['month-end', 'late-changes'], queryFn: ({ signal }) => api.lateChanges(signal), staleTime: 0 });

export const openFlagsQuery = (api: OperatorApi, before: string) =>
  // Explained elsewhere, so each look is a fresh one.
  queryOptions({ queryKey: ['variances', 'flags', 'open', before], queryFn: ({ signal }) => api.varianceFlags({ state: 'open', before }, null, signal), staleTime: 0 });

/** After anything that moves settlements from state to state. */
export function refreshMonthEnd(client: QueryClient): Promise<void> {
  return client.invalidateQueries({ queryKey: ['month-end'] });
}
