import { queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';

/** Everything about money that leaves lies under this key: what one step changes, the others show. */
export const moneyOut = ['money-out'] as const;

/** Under the sites: whatever is booked there changes it. */
export const ageingQuery = (api: OperatorApi, on: string) => queryOptions({ queryKey: ['sites', 'ageing', on], queryFn: ({ signal }) => api.ageing(on, signal) });
export const payablesQuery = (api: OperatorApi) => queryOptions({ queryKey: [...moneyOut, 'payables'], queryFn: ({ signal }) => api.payables(signal) });
export const paymentRunsQuery = (api: OperatorApi) => queryOptions({ queryKey: [...moneyOut, 'runs'], queryFn: ({ signal }) => api.paymentRuns(signal) });
export const paymentRunQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: [...moneyOut, 'runs', id], queryFn: ({ signal }) => api.paymentRun(id, signal) });
export const bankAccountsQuery = (api: OperatorApi) => queryOptions({ queryKey: [...moneyOut, 'accounts'], queryFn: ({ signal }) => api.bankAccounts(signal) });
export const partiesQuery = (api: OperatorApi) => queryOptions({ queryKey: [...moneyOut, 'parties'], queryFn: ({ signal }) => api.everyParty(signal) });
export const yearEndQuery = (api: OperatorApi, year: number) => queryOptions({ queryKey: [...moneyOut, 'year-end', year], queryFn: ({ signal }) => api.yearEnd(year, signal) });
