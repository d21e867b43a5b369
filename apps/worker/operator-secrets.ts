import type { OperatorSecrets } from '#backoffice/certificate/signer';
import type { MasterKeys } from '#runtime/master-key-file';
import { newKeyBytes, open, seal, unwrapDataKey, wrapDataKey, type SecretKey } from '#runtime/secrets-at-rest';

/** Operators' secrets under their data keys, which are under the master key. */
export function operatorSecretsUnder(masterKeys: MasterKeys): OperatorSecrets {
  const unwrap = (key: { tenantId: string; id: string; wrappedKey: Buffer }): SecretKey => {
    const opened = unwrapDataKey({ wrapped: key.wrappedKey, masterKeys, tenantId: key.tenantId });
    if (!opened.ok) throw new Error(`the data key ${key.id} does not open: ${opened.reason}`);
    return { id: key.id, bytes: opened.value };
  };
  return {
    newDataKey: (tenantId) => {
      const [masterKey] = masterKeys;
      return { wrappedKey: wrapDataKey({ dataKey: newKeyBytes(), masterKey, tenantId }), masterKeyId: masterKey.id };
    },
    seal: ({ plaintext, tenantId, purpose, dataKey }) => seal({ plaintext, key: unwrap({ tenantId, ...dataKey }), tenantId, purpose }),
    open: ({ sealed, tenantId, purpose, dataKeys }) => {
      const opened = open({ sealed, keys: dataKeys.map((key) => unwrap({ tenantId, ...key })), tenantId, purpose });
      if (!opened.ok) throw new Error(`the operator's ${purpose} does not open: ${opened.reason}`);
      return opened.value;
    },
  };
}
