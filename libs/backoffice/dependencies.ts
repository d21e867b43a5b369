import type { Database } from '#database/tenant';

/** What use cases are given besides who asks and for what. The apps fill it in; tests may fill it in differently. */
export type Backoffice = {
  readonly database: Database;
  readonly clock: { readonly now: () => Date };
  /** A new UUIDv7. */
  readonly newId: () => string;
  readonly accountSecrets: AccountSecrets;
  /** Address that people type, without a slash at the end; links begin with it. */
  readonly publicUrl: string;
};

/** Seals what an account must get back in clear, such as the secret of its second factor. */
export type AccountSecrets = {
  readonly seal: (secret: { plaintext: Buffer; accountId: string; purpose: string }) => Buffer;
  /** Throws when it was sealed for another account or purpose, or under a key that is not at hand. */
  readonly open: (secret: { sealed: Buffer; accountId: string; purpose: string }) => Buffer;
};
