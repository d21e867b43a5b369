/** The texts of the mail that carries the head of the evidence log of a day, in the receiver's language. */
import { writtenLanguage, type WrittenLanguage } from '#statement/words/languages';

interface HeadMailWords {
  readonly subject: (about: { operator: string; day: string }) => string;
  readonly holds: (about: { operator: string; entries: bigint }) => string;
  readonly keep: string;
  readonly figures: (about: { entries: bigint; head: string }) => readonly string[];
}

const en: HeadMailWords = {
  subject: ({ operator, day }) => `Head of the evidence log of ${operator}, ${day}`,
  holds: ({ operator, entries }) => `The evidence log of ${operator} holds ${entries} entries about settlements, statements and keys.`,
  keep: 'Keep this mail. With these two figures anybody can check later, on the server, that none of these entries was changed or dropped:',
  figures: ({ entries, head }) => [`  entries  ${entries}`, `  head     ${head}`],
};

const de: HeadMailWords = {
  subject: ({ operator, day }) => `Kopf des Protokolls von ${operator}, ${day}`,
  holds: ({ operator, entries }) => `Das Protokoll von ${operator} hat ${entries} Einträge über Abrechnungen, Belege und Schlüssel.`,
  keep: 'Bewahren Sie diese E-Mail auf. Mit diesen beiden Angaben kann jeder später auf dem Server prüfen, dass keiner dieser Einträge geändert oder entfernt wurde:',
  figures: ({ entries, head }) => [`  Einträge       ${entries}`, `  Protokollkopf  ${head}`],
};

const es: HeadMailWords = {
  subject: ({ operator, day }) => `Cabecera del registro de ${operator}, ${day}`,
  holds: ({ operator, entries }) => `El registro de ${operator} tiene ${entries} anotaciones sobre liquidaciones, documentos y llaves.`,
  keep: 'Guarde este correo. Con estos dos datos cualquiera puede comprobar más tarde, en el servidor, que ninguna de estas anotaciones se cambió ni se quitó:',
  figures: ({ entries, head }) => [`  anotaciones  ${entries}`, `  cabecera     ${head}`],
};

const catalogues: Readonly<Record<WrittenLanguage, HeadMailWords>> = { en, de, es };

/** By a BCP 47 locale; other languages are written to in English. */
export function headMailWordsOf(locale: string): HeadMailWords {
  return catalogues[writtenLanguage(locale)];
}
