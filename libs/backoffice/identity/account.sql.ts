import type { ConsoleLanguage, Membership } from './session';

/**
 * Calls of the identity schema's functions about accounts and sessions, which stand under no tenant. Each finds its row by
 * the hash of a secret.
 */

/** Calls a function of schema identity with its parameters in order; what `withoutTenant` gives to its work. */
export type IdentityCall = <Row extends object = Record<string, unknown>>(
  functionName: `identity.${string}`,
  ...values: readonly unknown[]
) => Promise<Row[]>;

export type SessionRow = {
  session_id: string;
  account_id: string;
  email: string;
  name: string;
  language: ConsoleLanguage | null;
  second_factor: 'none' | 'awaited' | 'given';
  has_second_factor: boolean;
  memberships: Membership[];
};

export async function selectSession(
  call: IdentityCall,
  input: { secretHash: Buffer; now: Date; idleHours: number },
): Promise<SessionRow | null> {
  const rows = await call<SessionRow>('identity.session_by_secret', input.secretHash, input.now, `${input.idleHours} hours`);
  return rows[0] ?? null;
}

export type AccountRow = { account_id: string; password_hash: string; has_second_factor: boolean };

export async function selectAccount(call: IdentityCall, emailHash: Buffer): Promise<AccountRow | null> {
  const rows = await call<AccountRow>('identity.account_by_email', emailHash);
  return rows[0] ?? null;
}

/** Seconds that the subject is locked, or 0: then the attempt is on record as failed until {@link markSucceeded}. */
export async function beginAttempt(
  call: IdentityCall,
  input: { attemptId: string; subjectHash: Buffer; address: string; now: Date },
): Promise<number> {
  const { attemptId, subjectHash, address, now } = input;
  const rows = await call<{ begin_attempt: number }>('identity.begin_attempt', attemptId, subjectHash, address, now);
  return rows[0]?.begin_attempt ?? 0;
}

export async function markSucceeded(call: IdentityCall, attemptId: string): Promise<void> {
  await call('identity.attempt_succeeded', attemptId);
}

export async function insertSession(
  call: IdentityCall,
  input: { sessionId: string; secretHash: Buffer; accountId: string; address: string; userAgent: string; now: Date; until: Date },
): Promise<void> {
  const { sessionId, secretHash, accountId, address, userAgent, now, until } = input;
  await call('identity.open_session', sessionId, secretHash, accountId, address, userAgent, now, until);
}

/** Gives the session a new secret and the state of its second factor. */
export async function replaceSecret(
  call: IdentityCall,
  input: { secretHash: Buffer; newSecretHash: Buffer; secondFactor: 'none' | 'given' },
): Promise<void> {
  await call('identity.renew_session', input.secretHash, input.newSecretHash, input.secondFactor);
}

export async function deleteSession(call: IdentityCall, secretHash: Buffer): Promise<void> {
  await call('identity.close_session', secretHash);
}

export async function deleteAllSessions(call: IdentityCall, input: { secretHash: Buffer; keepThis: boolean }): Promise<void> {
  await call('identity.close_all_sessions', input.secretHash, input.keepThis);
}

export type CredentialsRow = {
  account_id: string;
  password_hash: string;
  sealed_factor_secret: Buffer | null;
  factor_confirmed: boolean;
};

export async function selectCredentials(call: IdentityCall, secretHash: Buffer): Promise<CredentialsRow | null> {
  const rows = await call<CredentialsRow>('identity.credentials_of_session', secretHash);
  return rows[0] ?? null;
}

export async function updatePassword(call: IdentityCall, input: { secretHash: Buffer; passwordHash: string; now: Date }): Promise<void> {
  await call('identity.set_password', input.secretHash, input.passwordHash, input.now);
}

export async function updateLanguage(call: IdentityCall, input: { secretHash: Buffer; language: ConsoleLanguage }): Promise<void> {
  await call('identity.set_language', input.secretHash, input.language);
}

/** False when a second factor is in use already. */
export async function insertProposedFactor(call: IdentityCall, input: { secretHash: Buffer; sealed: Buffer }): Promise<boolean> {
  const rows = await call<{ propose_factor: boolean }>('identity.propose_factor', input.secretHash, input.sealed);
  return rows[0]?.propose_factor === true;
}

/** False when there is nothing to confirm. */
export async function updateFactorConfirmed(
  call: IdentityCall,
  input: { secretHash: Buffer; step: bigint; recoveryHashes: readonly Buffer[]; now: Date },
): Promise<boolean> {
  const { secretHash, step, recoveryHashes, now } = input;
  const rows = await call<{ confirm_factor: boolean }>('identity.confirm_factor', secretHash, step, recoveryHashes, now);
  return rows[0]?.confirm_factor === true;
}

/** True once per time step. */
export async function takeFactorStep(call: IdentityCall, input: { secretHash: Buffer; step: bigint }): Promise<boolean> {
  const rows = await call<{ use_factor_step: boolean }>('identity.use_factor_step', input.secretHash, input.step);
  return rows[0]?.use_factor_step === true;
}

/** True once per recovery code. */
export async function takeRecoveryCode(call: IdentityCall, input: { secretHash: Buffer; codeHash: Buffer; now: Date }): Promise<boolean> {
  const rows = await call<{ use_recovery_code: boolean }>('identity.use_recovery_code', input.secretHash, input.codeHash, input.now);
  return rows[0]?.use_recovery_code === true;
}

export async function deleteFactor(call: IdentityCall, secretHash: Buffer): Promise<void> {
  await call('identity.remove_factor', secretHash);
}

export type LinkRow = { kind: 'invitation' | 'new-password'; email: string; operator_name: string; has_account: boolean };

export async function selectLink(call: IdentityCall, input: { secretHash: Buffer; now: Date }): Promise<LinkRow | null> {
  const rows = await call<LinkRow>('identity.link_by_secret', input.secretHash, input.now);
  return rows[0] ?? null;
}

/** The account that is a member now, or `null` when the link does not serve. */
export async function takeInvitation(
  call: IdentityCall,
  input: { secretHash: Buffer; newAccountId: string; name: string; passwordHash: string; now: Date },
): Promise<string | null> {
  const { secretHash, newAccountId, name, passwordHash, now } = input;
  const rows = await call<{ accept_invitation: string | null }>('identity.accept_invitation', secretHash, newAccountId, name, passwordHash, now);
  return rows[0]?.accept_invitation ?? null;
}

/** False when the link does not serve. */
export async function takePasswordLink(call: IdentityCall, input: { secretHash: Buffer; passwordHash: string; now: Date }): Promise<boolean> {
  const rows = await call<{ set_password_by_link: boolean }>('identity.set_password_by_link', input.secretHash, input.passwordHash, input.now);
  return rows[0]?.set_password_by_link === true;
}
