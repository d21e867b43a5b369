import type { Database } from '#database/tenant';
import type { TimestampAuthority } from '#statement/sign/timestamp';

/** What use cases are given besides who asks and for what. The apps fill it in; tests may fill it in differently. */
export type Backoffice = {
  readonly database: Database;
  readonly clock: { readonly now: () => Date };
  /** A new UUIDv7. */
  readonly newId: () => string;
  readonly accountSecrets: AccountSecrets;
  readonly operatorSecrets: OperatorSecrets;
  /** Signs with keys that the installation keeps elsewhere; absent where it keeps none. */
  readonly signElsewhere?: SignElsewhere | undefined;
  /** Who stamps the signatures of statements; absent where the installation names nobody. */
  readonly timestampAuthority?: TimestampAuthority | undefined;
  /** Address that people type, without a slash at the end; links begin with it. */
  readonly publicUrl: string;
};

/** Seals what an account must get back in clear, such as the secret of its second factor. */
export type AccountSecrets = {
  readonly seal: (secret: { plaintext: Buffer; accountId: string; purpose: string }) => Buffer;
  /** Throws when it was sealed for another account or purpose, or under a key that is not at hand. */
  readonly open: (secret: { sealed: Buffer; accountId: string; purpose: string }) => Buffer;
};

/**
 * Envelope encryption of an operator's own secrets: the master key, which only the process knows, wraps one data key per
 * operator, and the data key seals the secret. The process fills this in; the database holds what comes out of it.
 */
export type OperatorSecrets = {
  /** A new data key, wrapped under the present master key. */
  readonly newDataKey: (tenantId: string) => { readonly wrappedKey: Buffer; readonly masterKeyId: string };
  readonly seal: (secret: SealingKey & { plaintext: Buffer }) => Buffer;
  /** Throws when it was sealed for another operator or purpose, or under a key that is not at hand. */
  readonly open: (secret: { tenantId: string; purpose: string; sealed: Buffer; dataKeys: readonly DataKey[] }) => Buffer;
};

/**
 * Has a message signed by the key of an operator that lies in a token or with another program. The operator is named by its code,
 * which nobody changes and no operator chooses for itself: whoever holds the keys goes by it, so that no operator signs as another.
 */
export type SignElsewhere = (asked: {
  readonly operatorCode: string;
  /** SHA-256 of the certificate, in hexadecimal: tells the keys of one operator apart. */
  readonly certificateFingerprint: string;
  readonly message: Uint8Array;
}) => Promise<{ readonly ok: true; readonly signature: Uint8Array } | { readonly ok: false; readonly detail: string }>;

export type DataKey = { readonly id: string; readonly wrappedKey: Buffer };
type SealingKey = { readonly tenantId: string; readonly purpose: string; readonly dataKey: DataKey };

/** For commands and tests that touch no secret: asking for one is a bug. */
export const noSecrets: Pick<Backoffice, 'accountSecrets' | 'operatorSecrets'> = {
  accountSecrets: { seal: noSecret, open: noSecret },
  operatorSecrets: { newDataKey: noSecret, seal: noSecret, open: noSecret },
};

function noSecret(): never {
  throw new Error('there are no secrets here');
}
