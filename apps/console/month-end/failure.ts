interface Failure {
  readonly code: string;
  readonly message: string;
}

interface Reader {
  /** What each reason is called; one that is not listed stays as the api says it. */
  readonly reasons: Readonly<Record<string, string | undefined>>;
  readonly day: (day: string) => string;
}

/** Why a site could not be finished, in the reader's language, with what the api says of this one in brackets: a day, or a code. */
export function failureInWords({ code, message }: Failure, { reasons, day }: Reader): string {
  const reason = reasons[code];
  if (reason === undefined) return message;
  const [, about] = /\(((?:[^()]|\([^()]*\))+)\)\.?$/.exec(message) ?? [];
  return about === undefined ? reason : `${reason} (${dayOf(about, day)})`;
}

/** `3 November 2026` as the reader writes it. */
function dayOf(about: string, day: Reader['day']): string {
  const at = /^\d{1,2} [A-Z][a-z]+ \d{4}$/.test(about) ? Date.parse(`${about} UTC`) : Number.NaN;
  return Number.isNaN(at) ? about : day(new Date(at).toISOString().slice(0, 10));
}
