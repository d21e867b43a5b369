import { queryOptions } from '@tanstack/react-query';
import { everyPage } from '../../api/every-page';
import type { OperatorApi } from '../../api/operator-api';

export const inventoriesQuery = (api: OperatorApi) =>
  queryOptions({ queryKey: ['keys', 'inventories'], queryFn: ({ signal }) => everyPage((cursor) => api.keyInventories(cursor, signal)) });
export const scheduleQuery = (api: OperatorApi) => queryOptions({ queryKey: ['keys', 'inventories', 'schedule'], queryFn: ({ signal }) => api.keyInventorySchedule(signal) });
export const inventoryQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: ['keys', 'inventories', id], queryFn: ({ signal }) => api.keyInventory(id, signal) });
