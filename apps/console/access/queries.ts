import { queryOptions } from '@tanstack/react-query';
import { everyPage } from '../api/every-page';
import type { OperatorApi } from '../api/operator-api';

export const openLinksQuery = (api: OperatorApi) => queryOptions({ queryKey: ['open-links'], queryFn: ({ signal }) => api.openLinks(signal) });

export const apiTokensQuery = (api: OperatorApi) =>
  queryOptions({ queryKey: ['api-tokens'], queryFn: ({ signal }) => everyPage((cursor) => api.apiTokens(cursor, signal)) });

export const certificatesQuery = (api: OperatorApi) => queryOptions({ queryKey: ['signing-certificates'], queryFn: ({ signal }) => api.signingCertificates(signal) });
