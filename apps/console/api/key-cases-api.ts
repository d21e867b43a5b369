import * as sdk from '../generated';
import type { ConfirmKeyCaseData, OpenKeyCaseData } from '../generated';
import { once, type Base } from './client';

const most = 200;
const about = (id: string, key: string) => ({ ...once(key), path: { id } });

/** Cases of lost keys, from the report until no lock takes the old key. */
export function keyCasesApi(base: Base) {
  return {
    keyCases: async (cursor: string | null, signal: AbortSignal) => (await sdk.listKeyCase({ ...base, signal, query: { limit: most, ...(cursor === null ? {} : { cursor }) } })).data,
    keyCase: async (id: string, signal: AbortSignal) => (await sdk.readKeyCase({ ...base, signal, path: { id } })).data,
    openKeyCase: async (body: OpenKeyCaseData['body'], key: string) => (await sdk.openKeyCase({ ...base, ...once(key), body })).data,
    confirmKeyCaseStep: async ({ id, body }: { readonly id: string; readonly body: ConfirmKeyCaseData['body'] }, key: string) => (await sdk.confirmKeyCase({ ...base, ...about(id, key), body })).data,
    closeKeyCase: async ({ id, reason }: { readonly id: string; readonly reason: string }, key: string) => (await sdk.closeKeyCase({ ...base, ...about(id, key), body: { reason } })).data,
    endKeyCase: async ({ id, reason }: { readonly id: string; readonly reason: string }, key: string) => (await sdk.endKeyCase({ ...base, ...about(id, key), body: { reason } })).data,
    exposedCollections: async (keyCaseId: string, cursor: string | null, signal: AbortSignal) =>
      (await sdk.exposedKeyCase({ ...base, signal, query: { keyCaseId, limit: most, ...(cursor === null ? {} : { cursor }) } })).data,
  };
}
