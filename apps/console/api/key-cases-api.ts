import * as sdk from '../generated';
import type { ConfirmKeyCaseData, OpenKeyCaseData } from '../generated';
import { once, type Base } from './client';

const most = 200;
const about = (id: string) => ({ ...once(), path: { id } });

/** Cases of lost keys, from the report until no lock takes the old key. */
export function keyCasesApi(base: Base) {
  return {
    keyCases: async (cursor: string | null, signal: AbortSignal) => (await sdk.listKeyCase({ ...base, signal, query: { limit: most, ...(cursor === null ? {} : { cursor }) } })).data,
    keyCase: async (id: string, signal: AbortSignal) => (await sdk.readKeyCase({ ...base, signal, path: { id } })).data,
    openKeyCase: async (body: OpenKeyCaseData['body']) => (await sdk.openKeyCase({ ...base, ...once(), body })).data,
    confirmKeyCaseStep: async ({ id, body }: { readonly id: string; readonly body: ConfirmKeyCaseData['body'] }) => (await sdk.confirmKeyCase({ ...base, ...about(id), body })).data,
    closeKeyCase: async ({ id, reason }: { readonly id: string; readonly reason: string }) => (await sdk.closeKeyCase({ ...base, ...about(id), body: { reason } })).data,
    endKeyCase: async ({ id, reason }: { readonly id: string; readonly reason: string }) => (await sdk.endKeyCase({ ...base, ...about(id), body: { reason } })).data,
    exposedCollections: async (keyCaseId: string, cursor: string | null, signal: AbortSignal) =>
      (await sdk.exposedKeyCase({ ...base, signal, query: { keyCaseId, limit: most, ...(cursor === null ? {} : { cursor }) } })).data,
  };
}
