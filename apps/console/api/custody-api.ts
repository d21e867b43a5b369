import * as sdk from '../generated';
import type { NameCollectionKeyData, SignCustodyAcknowledgementData } from '../generated';
import { once, type Base } from './client';
import { fileOf } from './file-answer';

export type CustodySide = 'giver' | 'receiver';

/** What happened to keys, and who confirms it. */
export function custodyApi(base: Base) {
  return {
    keyCopyWithEvents: async (id: string, signal: AbortSignal) => (await sdk.readKeyCopy({ ...base, signal, path: { id } })).data,
    custodyEvent: async (id: string, signal: AbortSignal) => (await sdk.readCustodyEvent({ ...base, signal, path: { id } })).data,
    keysToConfirm: async (signal: AbortSignal) => (await sdk.keysToConfirm({ ...base, signal })).data,
    keyReceivers: async (signal: AbortSignal) => (await sdk.keyReceivers({ ...base, signal })).data,
    ownKeyInventories: async (signal: AbortSignal) => (await sdk.ownKeyInventories({ ...base, signal })).data,
    acknowledgeKeys: async ({ eventId, side }: { readonly eventId: string; readonly side: CustodySide }, key: string) =>
      (await sdk.acknowledgeCustodyAcknowledgement({ ...base, ...once(key), path: { id: eventId }, body: { side } })).data,
    denyKeys: async ({ eventId, side }: { readonly eventId: string; readonly side: CustodySide }, key: string) =>
      (await sdk.denyCustodyAcknowledgement({ ...base, ...once(key), path: { id: eventId }, body: { side } })).data,
    keyReceiptLink: async ({ eventId, side, personId }: { readonly eventId: string; readonly side: CustodySide; readonly personId?: string }, key: string) =>
      (await sdk.linkCustodyAcknowledgement({ ...base, ...once(key), path: { id: eventId }, body: { side, ...(personId === undefined ? {} : { personId }) } })).data,
    signForKeys: async ({ eventId, body }: { readonly eventId: string; readonly body: SignCustodyAcknowledgementData['body'] }, key: string) =>
      (await sdk.signCustodyAcknowledgement({ ...base, ...once(key), path: { id: eventId }, body })).data,
    keyCheck: async (collectionId: string, signal: AbortSignal) => (await sdk.readCollectionKey({ ...base, signal, path: { id: collectionId } })).data,
    nameKeyHolder: async ({ id, body }: { readonly id: string; readonly body: NameCollectionKeyData['body'] }, key: string) => (await sdk.nameCollectionKey({ ...base, ...once(key), path: { id }, body })).data,
    keyReceipt: async (eventId: string) => fileOf(await sdk.receiptCustodyEvent({ ...base, path: { id: eventId }, parseAs: 'blob' }), 'receipt.pdf'),
  };
}
