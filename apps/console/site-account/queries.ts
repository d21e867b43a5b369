import { queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';

/** At the end of a day; without one, of today at the site. */
export const siteAccountQuery = (api: OperatorApi, wanted: { readonly siteId: string; readonly on: string | null }) =>
  queryOptions({ queryKey: ['sites', wanted.siteId, 'account', wanted.on], queryFn: ({ signal }) => api.siteAccount(wanted, signal) });
