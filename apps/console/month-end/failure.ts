interface Failure {
  readonly code: string;
  readonly message: string;
}

interface Reader {
  readonly language: string;
  /** What each reason is called whose api sentence says no more than that, a day or a code in brackets apart. */
  readonly reasons: Readonly<Record<string, string | undefined>>;
  /** What a refusal is called, whose machines, days, amounts and laws only the api's sentence names. */
  readonly titles: Readonly<Record<string, string | undefined>>;
  readonly day: (day: string) => string;
}

/**
 * Why a site could not be finished: `own` in the language of the page, with the day or code that the api gives in brackets;
 * `inEnglish` what only the api says on a page in another language.
 */
export function sayFailure({ code, message }: Failure, { language, reasons, titles, day }: Reader): { readonly own: string; readonly inEnglish: readonly string[] } {
  const reason = reasons[code];
  if (reason === undefined) return language === 'en' ? { own: message, inEnglish: [] } : { own: titles[code] ?? code, inEnglish: [message.replace(/\.$/, '')] };
  const [, about] = /\(((?:[^()]|\([^()]*\))+)\)\.?$/.exec(message) ?? [];
  return { own: about === undefined ? reason : `${reason} (${dayOf(about, day)})`, inEnglish: [] };
}

/** `3 November 2026` as the reader writes it. */
function dayOf(about: string, day: Reader['day']): string {
  const at = /^\d{1,2} [A-Z][a-z]+ \d{4}$/.test(about) ? Date.parse(`${about} UTC`) : Number.NaN;
  return Number.isNaN(at) ? about : day(new Date(at).toISOString().slice(0, 10));
}
