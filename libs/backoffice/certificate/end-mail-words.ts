/** The texts of the mail that warns of the end of the certificate in use, in the receiver's language. */
import { writtenLanguage, type WrittenLanguage } from '#statement/words/languages';

interface EndMailWords {
  readonly subject: (about: { operator: string; day: string }) => string;
  readonly what: (about: { operator: string; day: string }) => string;
  readonly facts: (about: { fingerprint: string; to: string }) => readonly string[];
  readonly next: string;
}

const en: EndMailWords = {
  subject: ({ operator, day }) => `The signing certificate of ${operator} ends on ${day}`,
  what: ({ operator, day }) =>
    `The certificate under which statements of ${operator} are signed is valid to ${day}. From then on statements wait: no other certificate takes its place by itself. Statements signed before stay as they are.`,
  facts: ({ fingerprint, to }) => [`  fingerprint   ${fingerprint}`, `  valid to      ${to}`],
  next: 'An owner brings another certificate, or has one made, on this page. It can be put to use on a later day, so that your sites have its fingerprint in print before:',
};

const de: EndMailWords = {
  subject: ({ operator, day }) => `Das Signaturzertifikat von ${operator} endet am ${day}`,
  what: ({ operator, day }) =>
    `Das Zertifikat, unter dem Abrechnungen von ${operator} signiert werden, gilt bis ${day}. Danach warten Abrechnungen: Von selbst tritt kein anderes Zertifikat an seine Stelle. Vorher signierte Abrechnungen bleiben, wie sie sind.`,
  facts: ({ fingerprint, to }) => [`  Fingerabdruck   ${fingerprint}`, `  gültig bis      ${to}`],
  next: 'Ein Inhaber bringt auf dieser Seite ein anderes Zertifikat ein oder lässt eines erstellen. Es kann auch ab einem späteren Tag gelten, damit Ihre Standorte seinen Fingerabdruck vorher gedruckt haben:',
};

const es: EndMailWords = {
  subject: ({ operator, day }) => `El certificado de firma de ${operator} termina el ${day}`,
  what: ({ operator, day }) =>
    `El certificado con el que se firman las liquidaciones de ${operator} es válido hasta el ${day}. Después las liquidaciones esperan: ningún otro certificado ocupa su lugar por sí solo. Las firmadas antes quedan como están.`,
  facts: ({ fingerprint, to }) => [`  huella         ${fingerprint}`, `  válido hasta   ${to}`],
  next: 'Un propietario aporta otro certificado, o manda crear uno, en esta página. Puede entrar en uso un día posterior, para que sus locales tengan antes su huella impresa:',
};

const catalogues: Readonly<Record<WrittenLanguage, EndMailWords>> = { en, de, es };

/** By a BCP 47 locale; other languages are written to in English. */
export function endMailWordsOf(locale: string): EndMailWords {
  return catalogues[writtenLanguage(locale)];
}
