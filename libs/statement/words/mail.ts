/** The texts of the mail by which a statement goes out. It is attached. */

export interface MailWords {
  readonly subject: (about: { number: string; operator: string }) => string;
  readonly attached: (about: { number: string; operator: string; site: string; period: string }) => string;
  /** `address`: where statements are checked; null where the operator has none that a receiver could open. */
  readonly check: (address: string | null) => string;
  /** For the payee, who may have no account: why they get it, and what to do where they should not. */
  readonly why: (operator: string) => string;
}

const en: MailWords = {
  subject: ({ number, operator }) => `Statement ${number} of ${operator}`,
  attached: ({ number, operator, site, period }) => `Attached is statement ${number} of ${operator} for ${site}, period ${period}.`,
  check: (address) =>
    `It is signed. Anybody can check it with the page for checking statements${address === null ? ', which the operator has' : `: ${address}`}. Compare the fingerprint that it shows with the one that you were given in print.`,
  why: (operator) => `You get this mail because ${operator} has this address for your statements. Should it be another one, tell them at the number that you know.`,
};

const de: MailWords = {
  subject: ({ number, operator }) => `Abrechnung ${number} von ${operator}`,
  attached: ({ number, operator, site, period }) => `Im Anhang finden Sie die Abrechnung ${number} von ${operator} für ${site}, Zeitraum ${period}.`,
  check: (address) =>
    `Sie ist signiert. Prüfen kann sie jeder auf der Prüfseite${address === null ? ', die der Aufsteller bereitstellt' : `: ${address}`}. Vergleichen Sie den Fingerabdruck, den sie zeigt, mit dem, den Sie gedruckt bekommen haben.`,
  why: (operator) => `Sie erhalten diese E-Mail, weil ${operator} diese Adresse für Ihre Abrechnungen führt. Soll es eine andere sein, sagen Sie es dort unter der Nummer, die Sie kennen.`,
};

const es: MailWords = {
  subject: ({ number, operator }) => `Liquidación ${number} de ${operator}`,
  attached: ({ number, operator, site, period }) => `Adjuntamos la liquidación ${number} de ${operator} para ${site}, período ${period}.`,
  check: (address) =>
    `Está firmada. Cualquiera puede comprobarla en la página de comprobación${address === null ? ' que ofrece el operador' : `: ${address}`}. Compare la huella que muestra con la que usted recibió impresa.`,
  why: (operator) => `Recibe este correo porque ${operator} tiene esta dirección para sus liquidaciones. Si debe ser otra, avíseles al número que usted conoce.`,
};

const catalogues: Readonly<Record<string, MailWords>> = { en, de, es };

/** By the tag of a language that statements are written in; others are written to in English. */
export function mailWordsOf(tag: string): MailWords {
  return catalogues[tag.split('-')[0] ?? ''] ?? en;
}
