import { infiniteQueryOptions, queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';
import { dayOf } from '../format/day';

export const roundsKey = ['rounds'] as const;
export const visitsKey = ['phone-visits'] as const;

export const dueQuery = (api: OperatorApi) => queryOptions({ queryKey: [...roundsKey, 'due'], queryFn: ({ signal }) => api.collectionsDue(signal) });
/** Rounds of today and later. */
export const plannedQuery = (api: OperatorApi) => queryOptions({ queryKey: [...roundsKey, 'planned'], queryFn: ({ signal }) => api.rounds(dayOf(new Date()), signal) });
/** Rounds before today; of `missed` ones those with stops where nobody has been since. */
export const pastRoundsQuery = (api: OperatorApi, { missed }: { readonly missed: boolean }) =>
  infiniteQueryOptions({
    queryKey: [...roundsKey, missed ? 'missed' : 'past'],
    queryFn: ({ pageParam, signal }) => api.pastRounds({ before: dayOf(new Date()), missed }, pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });
export const roundQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: [...roundsKey, id], queryFn: ({ signal }) => api.round(id, signal) });
export const devicesQuery = (api: OperatorApi) => queryOptions({ queryKey: [...visitsKey, 'devices'], queryFn: ({ signal }) => api.devices(signal) });

export type KeptState = 'quarantined' | 'corrected' | 'discarded' | 'withdrawn';
export interface KeptVisits {
  readonly state: KeptState;
  /** Of withdrawn ones: whether somebody of the office has seen them. */
  readonly seen?: 'yes' | 'no';
}
export const phoneVisitsQuery = (api: OperatorApi, list: KeptVisits) =>
  infiniteQueryOptions({
    queryKey: [...visitsKey, list.state, list.seen ?? null],
    queryFn: ({ pageParam, signal }) => api.phoneVisits(list, pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });
