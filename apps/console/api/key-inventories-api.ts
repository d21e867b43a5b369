import * as sdk from '../generated';
import type { OpenKeyInventoryData, SeenKeyInventoryData, SurplusKeyInventoryData } from '../generated';
import { once, type Base } from './client';
import { fileOf } from './file-answer';

const most = 200;
type About<Body> = { readonly id: string; readonly body: Body };
const about = (id: string, key: string) => ({ ...once(key), path: { id } });

/** Counts of keys: when they are due, what was seen, and what does not fit, with locks that were not changed for long. */
export function keyInventoriesApi(base: Base) {
  return {
    keyInventories: async (cursor: string | null, signal: AbortSignal) =>
      (await sdk.listKeyInventory({ ...base, signal, query: { limit: most, ...(cursor === null ? {} : { cursor }) } })).data,
    keyInventorySchedule: async (signal: AbortSignal) => (await sdk.scheduleKeyInventory({ ...base, signal })).data,
    keyInventoryScheduleFile: async () => fileOf(await sdk.exportSchedule({ ...base, parseAs: 'blob' }), 'key-inventory-schedule.csv'),
    keyInventory: async (id: string, signal: AbortSignal) => (await sdk.readKeyInventory({ ...base, signal, path: { id } })).data,
    openKeyInventory: async (body: OpenKeyInventoryData['body'], key: string) => (await sdk.openKeyInventory({ ...base, ...once(key), body })).data,
    countKeys: async ({ id, body }: About<SeenKeyInventoryData['body']>, key: string) => (await sdk.seenKeyInventory({ ...base, ...about(id, key), body })).data,
    attestKeys: async ({ id, keyCopyIds }: { readonly id: string; readonly keyCopyIds: string[] }, key: string) => (await sdk.attestKeyInventory({ ...base, ...about(id, key), body: { keyCopyIds } })).data,
    recordSurplusKey: async ({ id, body }: About<SurplusKeyInventoryData['body']>, key: string) => (await sdk.surplusKeyInventory({ ...base, ...about(id, key), body })).data,
    closeKeyInventory: async ({ id, reason }: { readonly id: string; readonly reason: string }, key: string) => (await sdk.closeKeyInventory({ ...base, ...about(id, key), body: { reason } })).data,
  };
}
