import { queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';

/** Below the sites: what changes there changes what was agreed. */
export const agreementQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: ['sites', 'agreement', id], queryFn: ({ signal }) => api.agreement(id, signal) });
