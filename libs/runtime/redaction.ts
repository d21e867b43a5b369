/** `strict`: secrets, personal data and amounts go; `secrets-only`: for debug lines, which a developer asked for. */
export type RedactionLevel = 'strict' | 'secrets-only';

const CENSORED = '[redacted]';
/** Deeper than anything worth logging. */
const MAX_DEPTH = 8;

/** Words of a key's name, e.g. `sessionToken` has `session` and `token`. One of these anywhere makes the value a secret. */
const SECRET_WORDS = new Set([
  'authorization',
  'cookie',
  'cookies',
  'credential',
  'credentials',
  'csrf',
  'password',
  'passwords',
  'passphrase',
  'pin',
  'pkcs12',
  'secret',
  'secrets',
  'session',
  'token',
  'tokens',
  'totp',
  'otp',
]);
/**
 * Secret as a whole name only: each word of it is harmless elsewhere. In `detail` PostgreSQL's errors repeat the values of the
 * row that they refuse, password hashes of schema identity included.
 */
const SECRET_NAMES = new Set(['detail', 'datakey', 'masterkey', 'privatekey', 'apikey', 'recoverycodes', 'databaseurl', 'redisurl', 'smtpurl']);
/** A key's name with one of these words holds bank details, contact data or an amount. */
const PERSONAL_WORDS = new Set([
  'account',
  'address',
  'advance',
  'amount',
  'amounts',
  'balance',
  'bank',
  'bic',
  'cash',
  'charge',
  'counted',
  'email',
  'gross',
  'iban',
  'minor',
  'money',
  'net',
  'payable',
  'phone',
  'routing',
  'share',
  'shares',
  'takings',
  'tax',
  'total',
  'variance',
]);
/** Under a personal word these are plain numbers about the program's work, e.g. `rowCount` or `totalSeconds`. */
const MEASURES = new Set(['row', 'rows', 'job', 'jobs', 'page', 'pages', 'seconds', 'ms', 'bytes', 'retry', 'attempt', 'site', 'sites', 'id', 'ids', 'code']);

/** Copies a JSON value that is about to be logged without what must not get out. */
export function redact(value: unknown, level: RedactionLevel): unknown {
  return redactWithin(value, level, 0);
}

function redactWithin(value: unknown, level: RedactionLevel, depth: number): unknown {
  if (typeof value === 'string') return redactText(value);
  if (typeof value !== 'object' || value === null) return value;
  if (depth >= MAX_DEPTH) return '[deeper]';
  if (Array.isArray(value)) return value.map((item) => redactWithin(item, level, depth + 1));
  return Object.fromEntries(
    Object.entries(value).map(([name, inner]) => [
      name,
      isCensored(name, level) ? CENSORED : redactWithin(inner, level, depth + 1),
    ]),
  );
}

function isCensored(name: string, level: RedactionLevel): boolean {
  const words = wordsOf(name);
  if (words.some((word) => SECRET_WORDS.has(word)) || SECRET_NAMES.has(words.join(''))) return true;
  if (level === 'secrets-only') return false;
  return words.some((word) => PERSONAL_WORDS.has(word)) && !words.some((word) => MEASURES.has(word));
}

function wordsOf(name: string): string[] {
  return name
    .replace(/([a-z0-9])([A-Z])/g, '$1 $2')
    .split(/[^A-Za-z0-9]+/)
    .filter((word) => word !== '')
    .map((word) => word.toLowerCase());
}

const TEXT_RULES: readonly (readonly [RegExp, string])[] = [
  // The password of a connection string.
  [/([a-z][a-z0-9+.-]*:\/\/[^\s:/@]*:)[^\s@]*@/gi, `$1${CENSORED}@`],
  // Tokens in a query or in a fragment.
  [/([?&#;](?:[\w-]*(?:token|password|secret|code|key))=)[^&\s"']+/gi, `$1${CENSORED}`],
  // Our own one-use links and API tokens, wherever they stand.
  [/(\/link#)[\w-]+/g, `$1${CENSORED}`],
  [/\b(latchledger_)[\w-]{40,}/g, `$1${CENSORED}`],
  [/\b(bearer|basic)\s+[\w.~+/=-]+/gi, `$1 ${CENSORED}`],
  [/-----BEGIN [A-Z ]*PRIVATE KEY-----[\s\S]*?(?:-----END [A-Z ]*PRIVATE KEY-----|$)/g, CENSORED],
  // ISO 13616: two letters, two digits, up to thirty more, with or without spaces in fours.
  [/\b[A-Z]{2}\d{2}(?:[ ]?[A-Z0-9]{4}){2,7}(?:[ ]?[A-Z0-9]{1,3})?\b/g, CENSORED],
];

/** Takes out of running text what looks like a secret or a bank account, whatever it was put into. */
function redactText(text: string): string {
  return TEXT_RULES.reduce((result, [pattern, replacement]) => result.replace(pattern, replacement), text);
}
