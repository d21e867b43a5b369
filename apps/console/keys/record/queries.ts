import { queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../../api/operator-api';

export const copyEventsQuery = (api: OperatorApi, copyId: string) => queryOptions({ queryKey: ['keys', 'events', copyId], queryFn: ({ signal }) => api.keyCopyWithEvents(copyId, signal) });
export const eventQuery = (api: OperatorApi, eventId: string) => queryOptions({ queryKey: ['keys', 'event', eventId], queryFn: ({ signal }) => api.custodyEvent(eventId, signal) });
export const toConfirmQuery = (api: OperatorApi) => queryOptions({ queryKey: ['keys', 'to-confirm'], queryFn: ({ signal }) => api.keysToConfirm(signal) });
export const receiversQuery = (api: OperatorApi) => queryOptions({ queryKey: ['keys', 'receivers'], queryFn: ({ signal }) => api.keyReceivers(signal) });
export const ownInventoriesQuery = (api: OperatorApi) => queryOptions({ queryKey: ['keys', 'own-inventories'], queryFn: ({ signal }) => api.ownKeyInventories(signal) });
