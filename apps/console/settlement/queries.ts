import { queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';

/** How often a settlement whose statement is being rendered is looked at again. */
const pollEveryMs = 1500;

/** What sites have asked, over all periods: read anew whenever the list is opened, for others write it. */
export const questionsQuery = (api: OperatorApi) => queryOptions({ queryKey: ['settlement-notes', 'questions'], queryFn: ({ signal }) => api.openQuestions(signal), staleTime: 0 });

/** Lies with the month end: what is reviewed there leaves this list, too. */
export const draftsQuery = (api: OperatorApi, startsOn: string) =>
  queryOptions({ queryKey: ['month-end', 'drafts', startsOn], queryFn: ({ signal }) => api.draftsOf(startsOn, signal) });

export const settlementQuery = (api: OperatorApi, id: string) =>
  queryOptions({
    queryKey: ['settlement', id],
    queryFn: ({ signal }) => api.settlement(id, signal),
    refetchInterval: ({ state }) => (state.data?.state === 'numbered' ? pollEveryMs : false),
  });
