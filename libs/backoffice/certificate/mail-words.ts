/** The texts of the mail that tells owners of a revoked certificate, in their language. */
import { writtenLanguage, type WrittenLanguage } from '#statement/words/languages';
import type { About } from './tell-owners.sql';

interface RevocationMailWords {
  readonly subject: (operator: string, about: About) => string;
  readonly lead: (operator: string, about: About) => string;
  readonly facts: (about: { fingerprint: string; from: string; by: string; reason: string }) => readonly string[];
  /** What it means for statements signed before the time, where none is in doubt. */
  readonly stand: (statements: number) => string;
  /** For those since a time that is not confirmed yet, and for them once it is. */
  readonly waits: (statements: number) => string;
  readonly doubted: (statements: number) => string;
  /** Where it was the one in use, and where it was not. */
  readonly next: string;
  readonly inUse: string;
}

const en: RevocationMailWords = {
  subject: (operator, about) => (about === 'recorded' ? `A signing certificate of ${operator} was revoked` : `The revocation of a signing certificate of ${operator} was confirmed`),
  lead: (operator, about) =>
    about === 'recorded'
      ? `A certificate under which statements of ${operator} were signed was revoked. Nothing is signed under it any more.`
      : `A second person confirmed that a certificate of ${operator} is not to be believed from an earlier time on.`,
  facts: ({ fingerprint, from, by, reason }) => [`  fingerprint   ${fingerprint}`, `  revoked from  ${from}`, `  by            ${by}`, `  reason        ${reason}`],
  stand: (statements) => `Statements signed before that time stand as they are (${statements}): whoever checks one and asks the server is told that it was signed before.`,
  waits: (statements) => `That time lies before the revocation. ${statements} statements were signed since; they are in doubt once a second person confirms the time, and not before. If you know of no reason for it, do not confirm it.`,
  doubted: (statements) => `Statements signed since that time are in doubt (${statements}): whoever checks one and asks the server is told so. Speak with the sites whose statements they are; a statement that has to be made anew is reversed and issued again.`,
  next: 'It was the one in use: statements wait until one of you brings another certificate, or has one made, and no other one takes its place by itself. Give the fingerprint of the new one to your sites in print. Should nobody of you have done this, change your passwords and see who has access:',
  inUse: 'It was not the one in use: statements are signed as before. Should nobody of you have done this, change your passwords and see who has access:',
};

const de: RevocationMailWords = {
  subject: (operator, about) => (about === 'recorded' ? `Ein Signaturzertifikat von ${operator} wurde widerrufen` : `Der Widerruf eines Signaturzertifikats von ${operator} wurde bestätigt`),
  lead: (operator, about) =>
    about === 'recorded'
      ? `Ein Zertifikat, unter dem Abrechnungen von ${operator} signiert wurden, ist widerrufen. Unter ihm wird nichts mehr signiert.`
      : `Eine zweite Person hat bestätigt, dass einem Zertifikat von ${operator} schon ab einem früheren Zeitpunkt nicht zu trauen ist.`,
  facts: ({ fingerprint, from, by, reason }) => [`  Fingerabdruck   ${fingerprint}`, `  widerrufen ab   ${from}`, `  durch           ${by}`, `  Grund           ${reason}`],
  stand: (statements) => `Vor diesem Zeitpunkt signierte Abrechnungen bleiben gültig (${statements}): Wer eine prüft und den Server fragt, erfährt, dass sie vorher signiert wurde.`,
  waits: (statements) => `Der Zeitpunkt liegt vor dem Widerruf. Seither wurden ${statements} Abrechnungen signiert; zweifelhaft werden sie erst, wenn eine zweite Person den Zeitpunkt bestätigt. Kennen Sie keinen Grund dafür, bestätigen Sie ihn nicht.`,
  doubted: (statements) => `Seit diesem Zeitpunkt signierte Abrechnungen sind zweifelhaft (${statements}): Wer eine prüft und den Server fragt, erfährt es. Sprechen Sie mit den betroffenen Standorten; eine Abrechnung, die neu entstehen muss, wird storniert und noch einmal ausgestellt.`,
  next: 'Es war das geltende: Abrechnungen warten, bis jemand von Ihnen ein anderes Zertifikat einbringt oder erstellen lässt; von selbst tritt keines an seine Stelle. Geben Sie den Fingerabdruck des neuen Ihren Standorten gedruckt. War es niemand von Ihnen, ändern Sie Ihre Passwörter und sehen Sie nach, wer Zugang hat:',
  inUse: 'Es war nicht das geltende: Abrechnungen werden signiert wie bisher. War es niemand von Ihnen, ändern Sie Ihre Passwörter und sehen Sie nach, wer Zugang hat:',
};

const es: RevocationMailWords = {
  subject: (operator, about) => (about === 'recorded' ? `Se revocó un certificado de firma de ${operator}` : `Se confirmó la revocación de un certificado de firma de ${operator}`),
  lead: (operator, about) =>
    about === 'recorded'
      ? `Se revocó un certificado con el que se firmaban liquidaciones de ${operator}. Con él ya no se firma nada.`
      : `Una segunda persona confirmó que un certificado de ${operator} no merece confianza desde un momento anterior.`,
  facts: ({ fingerprint, from, by, reason }) => [`  huella          ${fingerprint}`, `  revocado desde  ${from}`, `  por             ${by}`, `  motivo          ${reason}`],
  stand: (statements) => `Las liquidaciones firmadas antes de ese momento siguen valiendo (${statements}): a quien comprueba una y pregunta al servidor se le dice que se firmó antes.`,
  waits: (statements) => `Ese momento es anterior a la revocación. Desde entonces se firmaron ${statements} liquidaciones; solo quedan en duda cuando una segunda persona confirme el momento. Si no conoce ningún motivo, no lo confirme.`,
  doubted: (statements) => `Las liquidaciones firmadas desde ese momento quedan en duda (${statements}): a quien comprueba una y pregunta al servidor se le dice. Hable con los locales afectados; la liquidación que deba hacerse de nuevo se anula y se emite otra vez.`,
  next: 'Era el que estaba en uso: las liquidaciones esperan hasta que alguien de ustedes aporte otro certificado o mande crear uno; ninguno ocupa su lugar por sí solo. Entreguen la huella del nuevo impresa a sus locales. Si no fue nadie de ustedes, cambien sus contraseñas y miren quién tiene acceso:',
  inUse: 'No era el que estaba en uso: las liquidaciones se firman como hasta ahora. Si no fue nadie de ustedes, cambien sus contraseñas y miren quién tiene acceso:',
};

const catalogues: Readonly<Record<WrittenLanguage, RevocationMailWords>> = { en, de, es };

/** By a BCP 47 locale; other languages are written to in English. */
export function revocationMailWordsOf(locale: string): RevocationMailWords {
  return catalogues[writtenLanguage(locale)];
}
