import { infiniteQueryOptions, queryOptions } from '@tanstack/react-query';
import { everyPage } from '../api/every-page';
import type { OperatorApi } from '../api/operator-api';

export const operatorKey = ['operator'] as const;
export const operatorQuery = (api: OperatorApi) => queryOptions({ queryKey: [...operatorKey, 'settings'], queryFn: ({ signal }) => api.operatorSettings(signal) });

/** Below the tax: what an area says is shown there, too. */
export const taxKey = ['tax'] as const;
export const readyTaxAreasQuery = (api: OperatorApi) => queryOptions({ queryKey: [...taxKey, 'ready'], queryFn: ({ signal }) => api.readyTaxAreas(signal), staleTime: Infinity });
export const taxAreaQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: [...taxKey, 'area', id], queryFn: ({ signal }) => api.taxArea(id, signal) });
export const taxRulesQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: [...taxKey, 'rules', id], queryFn: ({ signal }) => api.taxRules(id, signal) });
export const lawLimitsQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: [...taxKey, 'limits', id], queryFn: ({ signal }) => api.lawLimits(id, signal) });

export const sitesKey = ['sites'] as const;
export const partiesKey = ['parties'] as const;
export const everyPartyQuery = (api: OperatorApi) => queryOptions({ queryKey: [...partiesKey, 'every'], queryFn: ({ signal }) => api.everyParty(signal) });
export const agreementsWithQuery = (api: OperatorApi, partyId: string) => queryOptions({ queryKey: [...partiesKey, partyId, 'agreements'], queryFn: ({ signal }) => api.agreementsWith(partyId, signal) });
export const everyAgreementQuery = (api: OperatorApi) =>
  queryOptions({ queryKey: [...sitesKey, 'agreements', 'every'], queryFn: ({ signal }) => everyPage((cursor) => api.agreements(cursor, signal)) });

export const openWithQuery = (api: OperatorApi, partyId: string) => queryOptions({ queryKey: [...partiesKey, partyId, 'open-items'], queryFn: ({ signal }) => api.openItemsWith(partyId, signal) });

export const peopleKey = ['people'] as const;
export const toleranceKey = ['variances', 'tolerances'] as const;
export const toleranceQuery = (api: OperatorApi) => queryOptions({ queryKey: toleranceKey, queryFn: ({ signal }) => api.toleranceRules(signal) });

export const auditTrailQuery = (api: OperatorApi, thingId: string) =>
  infiniteQueryOptions({
    queryKey: ['audit-trail', thingId],
    queryFn: ({ pageParam, signal }) => api.auditTrail(thingId, pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });
