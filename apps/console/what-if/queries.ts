import { queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';
import { everyPage } from '../api/every-page';
import type { Asked } from './asked';

export const allSitesQuery = (api: OperatorApi) =>
  queryOptions({ queryKey: ['sites', 'all'], queryFn: ({ signal }) => everyPage((cursor) => api.sites(cursor, signal)) });

export const whatIfQuery = (api: OperatorApi, asked: Asked | null) =>
  queryOptions({
    queryKey: ['what-if', asked],
    queryFn: ({ signal }) => {
      if (asked === null) throw new Error('nothing was asked');
      const { siteId, ...body } = asked;
      return api.whatIf({ ...body, ...(siteId === null ? {} : { siteIds: [siteId] }) }, signal);
    },
    enabled: asked !== null,
    // A year of all sites is some work: it is done again when somebody asks, not when they come back to the window.
    staleTime: Number.POSITIVE_INFINITY,
  });
