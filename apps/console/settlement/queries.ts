import { queryOptions } from '@tanstack/react-query';
import { everyPage } from '../api/every-page';
import type { OperatorApi } from '../api/operator-api';
import { reviewOrder } from './review-order';

/** How often a settlement whose statement is being rendered is looked at again. */
const pollEveryMs = 1500;

/** What sites have asked, over all periods: read anew whenever the list is opened, for others write it. */
export const questionsQuery = (api: OperatorApi) => queryOptions({ queryKey: ['settlement-notes', 'questions'], queryFn: ({ signal }) => api.openQuestions(signal), staleTime: 0 });

/** Drafts of the periods that begin on the day, in the order of review. Lies with the month end: what is reviewed there leaves this list, too. */
export const draftsQuery = (api: OperatorApi, startsOn: string) =>
  queryOptions({
    queryKey: ['month-end', 'drafts', startsOn],
    queryFn: async ({ signal }) => {
      const [drafts, periods] = await Promise.all([api.draftsOf(startsOn, signal), api.periods(signal)]);
      const cycles = periods.items.filter((period) => period.startsOn === startsOn);
      return reviewOrder(drafts, await Promise.all(cycles.map(({ cycle }) => everyPage((cursor) => api.agreementsOfPeriod({ cycle, startsOn }, cursor, signal)))));
    },
  });

export const settlementQuery = (api: OperatorApi, id: string) =>
  queryOptions({
    queryKey: ['settlement', id],
    queryFn: ({ signal }) => api.settlement(id, signal),
    refetchInterval: ({ state }) => (state.data?.state === 'numbered' ? pollEveryMs : false),
  });
