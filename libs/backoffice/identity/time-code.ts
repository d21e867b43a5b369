import { authenticator } from 'otplib';
import { createHash, randomBytes } from 'node:crypto';

/** Codes of an authenticator app: RFC 6238 with its defaults (SHA-1, 30 seconds, 6 digits), which every app knows. */
const STEP_SECONDS = 30;

export function newFactorSecret(): string {
  // 160 bits, as RFC 4226 section 4 recommends.
  return authenticator.generateSecret(20);
}

/** The address that an authenticator app reads from a QR code. */
export function factorAddress(secret: string, email: string): string {
  return authenticator.keyuri(email, 'Latchledger', secret);
}

/**
 * The time step whose code this is, or `null`. One step before and after are taken as well, for clocks that differ and
 * people who type slowly (RFC 6238 section 5.2). The caller must not accept a step twice.
 */
export function matchingStep(input: { secret: string; code: string; now: Date }): bigint | null {
  const { secret, now } = input;
  const code = input.code.replace(/\s/g, '');
  if (!/^\d{6}$/.test(code)) return null;
  const instance = authenticator.clone({ epoch: now.getTime(), window: 1, step: STEP_SECONDS });
  const delta = instance.checkDelta(code, secret);
  if (delta === null) return null;
  return BigInt(Math.floor(now.getTime() / 1000 / STEP_SECONDS) + delta);
}

const RECOVERY_CODES = 10;
/** Without letters and digits that look alike on paper. 32 characters: five bits each. */
const alphabet = 'ABCDEFGHJKLMNPQRSTUVWXYZ23456789';

/** Ten codes of 80 bits, written as four groups of four. */
export function newRecoveryCodes(): string[] {
  return Array.from({ length: RECOVERY_CODES }, () => {
    const letters = [...randomBytes(16)].map((byte) => alphabet[byte % 32]).join('');
    return (letters.match(/.{4}/g) ?? []).join('-');
  });
}

/** Typed with or without hyphens, in either case. */
export function hashRecoveryCode(code: string): Buffer {
  return createHash('sha256').update(code.toUpperCase().replace(/[^A-Z0-9]/g, ''), 'utf8').digest();
}
