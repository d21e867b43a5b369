import type { Account } from '#contracts/account';
import type { Role } from '#domain/permissions/role';
import { createHash } from 'node:crypto';

/** A session ends after this long without a request, and after a week in any case. */
export const SESSION_IDLE_HOURS = 12;
export const SESSION_DAYS = 7;

export type ConsoleLanguage = NonNullable<Account['language']>;

/** What an account is at one operator. */
export type Membership = {
  readonly tenantId: string;
  readonly code: string;
  readonly name: string;
  readonly role: Role;
  readonly personId: string | null;
  readonly siteIds: readonly string[];
  readonly secondFactorRequired: boolean;
};

/** Who came with a session's secret. */
export type SignedIn = {
  readonly sessionId: string;
  readonly accountId: string;
  readonly email: string;
  readonly name: string;
  /** Null until one was chosen. */
  readonly language: ConsoleLanguage | null;
  /** `awaited`: the password was right, the code is still missing, and nothing but giving it or signing out is open. */
  readonly secondFactor: 'none' | 'awaited' | 'given';
  readonly hasSecondFactor: boolean;
  readonly memberships: readonly Membership[];
  /** Key to the account's own rows; never leaves the process. */
  readonly secretHash: Buffer;
};

/**
 * The value that a browser must repeat in a header with every change. It is made from the session's secret, so another
 * site can neither read nor compute it, and it needs no storage.
 */
export function csrfValue(sessionSecret: string): string {
  return createHash('sha256').update(`csrf\0${sessionSecret}`, 'utf8').digest('base64url');
}
