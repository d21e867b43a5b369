import { Algorithm, hash, verify } from '@node-rs/argon2';

/** RFC 9106 section 4, second recommended option, with the memory that OWASP's cheat sheet gives as enough: 19 MiB, 2 passes. */
const cost = { algorithm: Algorithm.Argon2id, memoryCost: 19_456, timeCost: 2, parallelism: 1 } as const;

export const PASSWORD_MINIMUM_LENGTH = 12;
/** Longer ones are refused rather than cut: NIST SP 800-63B section 3.1.1.2 asks to take at least 64 characters. */
export const PASSWORD_MAXIMUM_LENGTH = 200;

/** Same text, same form, whatever keyboard made the accents (NIST SP 800-63B section 3.1.1.2 asks for NFKC or NFKD). */
const normalised = (password: string): string => password.normalize('NFKC');

export async function hashPassword(password: string): Promise<string> {
  return hash(normalised(password), cost);
}

/**
 * Whether the password is the one that was hashed. With `null` (no such account) it works as long as with a real hash and
 * says no, so that time does not tell which addresses have accounts.
 */
export async function verifyPassword(passwordHash: string | null, password: string): Promise<boolean> {
  decoy ??= hashPassword('nobody has this password');
  const matches = await verify(passwordHash ?? (await decoy), normalised(password));
  return matches && passwordHash !== null;
}
let decoy: Promise<string> | undefined;

/** Too short, or one of the choices that lists of guesses begin with. The account's own address and name count as known. */
export function isWeakPassword(password: string, known: readonly string[]): boolean {
  const text = normalised(password);
  if ([...text].length < PASSWORD_MINIMUM_LENGTH) return true;
  const lower = text.toLowerCase();
  if (new Set(lower).size < 5) return true;
  if (isRun(lower)) return true;
  const parts = [...known.flatMap((word) => word.toLowerCase().split(/[@.\s]+/)), ...guessedFirst].filter((word) => word.length >= 4);
  // What is left when everything guessable is taken out must still be something to guess.
  const rest = parts.reduce((left, word) => left.replaceAll(word, ''), lower).replace(/[\p{N}\p{P}\p{S}\s]/gu, '');
  return rest.length < 4;
}

/** From memory: words that published lists of leaked passwords begin with. */
const guessedFirst = ['password', 'passwort', 'qwerty', 'qwertz', 'letmein', 'welcome', 'admin', 'iloveyou', 'dragon', 'monkey', 'football', 'latchledger', 'abc', 'login', 'master', 'secret', 'changeme'];

/** All steps from character to character alike: abcdef..., 123456..., 987654... */
function isRun(text: string): boolean {
  const steps = [...text].slice(1).map((character, index) => character.charCodeAt(0) - text.charCodeAt(index));
  return steps.every((step) => step === steps[0]);
}
