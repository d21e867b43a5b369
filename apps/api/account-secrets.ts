import type { AccountSecrets } from '#backoffice/dependencies';
import { open, seal, sealedForAccount, type SecretKey } from '#runtime/secrets-at-rest';

/** Seals accounts' secrets under the master key itself: an account may belong to several operators, so no operator's data key is its own. */
export function accountSecretsUnder(masterKeys: readonly [SecretKey, ...SecretKey[]]): AccountSecrets {
  return {
    seal: ({ plaintext, accountId, purpose }) => seal({ plaintext, key: masterKeys[0], ...sealedForAccount({ accountId, purpose }) }),
    open: ({ sealed, accountId, purpose }) => {
      const opened = open({ sealed, keys: masterKeys, ...sealedForAccount({ accountId, purpose }) });
      if (!opened.ok) throw new Error(`the account's ${purpose} does not open: ${opened.reason}`);
      return opened.value;
    },
  };
}
