import { infiniteQueryOptions, queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';

export const sitesQuery = (api: OperatorApi) =>
  infiniteQueryOptions({
    queryKey: ['sites', 'list'],
    queryFn: ({ pageParam, signal }) => api.sites(pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });

export const siteQuery = (api: OperatorApi, id: string) =>
  queryOptions({ queryKey: ['sites', id], queryFn: ({ signal }) => api.site(id, signal) });

export const machinesAtQuery = (api: OperatorApi, siteId: string) =>
  queryOptions({ queryKey: ['sites', siteId, 'machines'], queryFn: ({ signal }) => api.machinesAt(siteId, signal) });

export const agreementsOfQuery = (api: OperatorApi, siteId: string) =>
  queryOptions({ queryKey: ['sites', siteId, 'agreements'], queryFn: ({ signal }) => api.agreementsOf(siteId, signal) });

export const versionsOfQuery = (api: OperatorApi, agreementId: string) =>
  queryOptions({ queryKey: ['sites', 'versions', agreementId], queryFn: ({ signal }) => api.versionsOf(agreementId, signal) });

export const partyQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: ['parties', id], queryFn: ({ signal }) => api.party(id, signal) });

export const advancesOfQuery = (api: OperatorApi, siteId: string) =>
  queryOptions({ queryKey: ['sites', siteId, 'advances'], queryFn: ({ signal }) => api.advancesOf(siteId, signal) });

export const settlementsOfQuery = (api: OperatorApi, siteId: string) =>
  infiniteQueryOptions({
    queryKey: ['sites', siteId, 'settlements'],
    queryFn: ({ pageParam, signal }) => api.settlementsOfSite(siteId, pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });
