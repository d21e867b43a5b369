import { queryOptions } from '@tanstack/react-query';
import { everyPage } from '../../api/every-page';
import type { OperatorApi } from '../../api/operator-api';

export const inventoriesQuery = (api: OperatorApi) =>
  queryOptions({ queryKey: ['keys', 'inventories'], queryFn: ({ signal }) => everyPage((cursor) => api.keyInventories(cursor, signal)) });
export const scheduleQuery = (api: OperatorApi) => queryOptions({ queryKey: ['keys', 'inventories', 'schedule'], queryFn: ({ signal }) => api.keyInventorySchedule(signal) });
export const inventoryQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: ['keys', 'inventories', id], queryFn: ({ signal }) => api.keyInventory(id, signal) });
export const oldLocksQuery = (api: OperatorApi) =>
  queryOptions({ queryKey: ['keys', 'locks', 'old'], queryFn: ({ signal }) => everyPage((cursor) => api.locksFittedBefore(aYearAgo(), cursor, signal)) });

/** 10 CFR 95.25(j): locks are changed at least every twelve months. */
function aYearAgo(): string {
  const day = new Date();
  day.setFullYear(day.getFullYear() - 1);
  return day.toISOString();
}
