import type { MasterKeys } from './master-key-file';
import { newKeyBytes, open, seal, unwrapDataKey, wrapDataKey, type SecretKey } from './secrets-at-rest';

/** A data key as the database holds it: its row's id, and the key wrapped under a master key. */
export type WrappedDataKey = { readonly id: string; readonly wrappedKey: Buffer };

type SealedFor = { readonly tenantId: string; readonly purpose: string };

/** Seals and opens an operator's own secrets under its data key; the data key is unwrapped for each use and not kept. */
export type OperatorSecretBox = {
  readonly newDataKey: (tenantId: string) => { readonly wrappedKey: Buffer; readonly masterKeyId: string };
  readonly seal: (secret: SealedFor & { readonly plaintext: Buffer; readonly dataKey: WrappedDataKey }) => Buffer;
  /** `dataKeys`: those of the operator, in any order. Throws when none of them opens it. */
  readonly open: (secret: SealedFor & { readonly sealed: Buffer; readonly dataKeys: readonly WrappedDataKey[] }) => Buffer;
};

export function operatorSecretsUnder(masterKeys: MasterKeys): OperatorSecretBox {
  const unwrapped = (dataKey: WrappedDataKey, tenantId: string): SecretKey => {
    const bytes = unwrapDataKey({ wrapped: dataKey.wrappedKey, masterKeys, tenantId });
    if (!bytes.ok) throw new Error(`the operator's data key does not open: ${bytes.reason}`);
    return { id: dataKey.id, bytes: bytes.value };
  };
  return {
    newDataKey: (tenantId) => ({
      wrappedKey: wrapDataKey({ dataKey: newKeyBytes(), masterKey: masterKeys[0], tenantId }),
      masterKeyId: masterKeys[0].id,
    }),
    seal: ({ plaintext, dataKey, tenantId, purpose }) => seal({ plaintext, key: unwrapped(dataKey, tenantId), tenantId, purpose }),
    open: ({ sealed, dataKeys, tenantId, purpose }) => {
      const opened = open({ sealed, keys: dataKeys.map((dataKey) => unwrapped(dataKey, tenantId)), tenantId, purpose });
      if (!opened.ok) throw new Error(`the operator's ${purpose} does not open: ${opened.reason}`);
      return opened.value;
    },
  };
}
