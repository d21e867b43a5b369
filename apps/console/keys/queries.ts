import { infiniteQueryOptions, queryOptions } from '@tanstack/react-query';
import { everyPage } from '../api/every-page';
import type { Clocks, HoldingFilter, KeyFindingsFilter, OpenersAsked } from '../api/keys-api';
import type { OperatorApi } from '../api/operator-api';

const firstPage = null as string | null;

export const holdingsQuery = (api: OperatorApi, filter: HoldingFilter) =>
  infiniteQueryOptions({
    queryKey: ['keys', 'holdings', filter],
    queryFn: ({ pageParam, signal }) => api.keyHoldings(filter, pageParam, signal),
    initialPageParam: firstPage,
    getNextPageParam: (page) => page.next,
  });

export const peopleQuery = (api: OperatorApi) => queryOptions({ queryKey: ['people', 'every'], queryFn: ({ signal }) => everyPage((cursor) => api.people(cursor, signal)) });
export const everySiteQuery = (api: OperatorApi) => queryOptions({ queryKey: ['sites', 'every'], queryFn: ({ signal }) => everyPage((cursor) => api.sites(cursor, signal)) });
export const keyCodesQuery = (api: OperatorApi) => queryOptions({ queryKey: ['keys', 'codes'], queryFn: ({ signal }) => everyPage((cursor) => api.keyCodes(cursor, signal)) });
export const machinesQuery = (api: OperatorApi) => queryOptions({ queryKey: ['machines', 'every'], queryFn: ({ signal }) => everyPage((cursor) => api.machines(cursor, signal)) });

export const everyPlaceQuery = (api: OperatorApi) => queryOptions({ queryKey: ['keys', 'places', 'every'], queryFn: ({ signal }) => everyPage((cursor) => api.keyPlaces(cursor, signal)) });

export const ownKeysQuery = (api: OperatorApi) => queryOptions({ queryKey: ['keys', 'own'], queryFn: ({ signal }) => api.ownKeys(signal) });
export const personKeysQuery = (api: OperatorApi, personId: string, clocks: Clocks) =>
  queryOptions({ queryKey: ['keys', 'person', personId, clocks], queryFn: ({ signal }) => api.keysOfPerson(personId, clocks, signal) });
export const openersQuery = (api: OperatorApi, asked: OpenersAsked) => queryOptions({ queryKey: ['keys', 'openers', asked], queryFn: ({ signal }) => api.openersOfMachine(asked, signal) });
/** What leavers and closing sites still have, at present. */
export const tasksQuery = (api: OperatorApi) => queryOptions({ queryKey: ['keys', 'tasks'], queryFn: ({ signal }) => api.keyTasks(signal) });
export const attentionQuery = (api: OperatorApi, clocks: Clocks = {}) => queryOptions({ queryKey: ['keys', 'attention', clocks], queryFn: ({ signal }) => api.keyAttention(clocks, signal) });
export const withoutKeyQuery = (api: OperatorApi, filter: KeyFindingsFilter) =>
  infiniteQueryOptions({
    queryKey: ['keys', 'collections', filter],
    queryFn: ({ pageParam, signal }) => api.collectionsWithoutKey(filter, pageParam, signal),
    initialPageParam: firstPage,
    getNextPageParam: (page) => page.next,
  });
export const historyQuery = (api: OperatorApi, copyId: string, knownAt: string | undefined) =>
  queryOptions({ queryKey: ['keys', 'history', copyId, knownAt], queryFn: ({ signal }) => api.keyHistory(copyId, knownAt, signal) });
export const reachQuery = (api: OperatorApi, copyId: string, clocks: Clocks) =>
  queryOptions({ queryKey: ['keys', 'reach', copyId, clocks], queryFn: ({ signal }) => api.reachOfCopy(copyId, clocks, signal) });

/** Below the keys: a decision changes what is to be looked after, too. */
export const policyKey = ['keys'] as const;
export const policiesQuery = (api: OperatorApi) => queryOptions({ queryKey: ['keys', 'policy'], queryFn: ({ signal }) => api.policies(signal) });
export const relaxedRecordsQuery = (api: OperatorApi) =>
  infiniteQueryOptions({
    queryKey: ['keys', 'relaxed-records'],
    queryFn: ({ pageParam, signal }) => api.relaxedRecords(pageParam, signal),
    initialPageParam: firstPage,
    getNextPageParam: (page) => page.next,
  });
