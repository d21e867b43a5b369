/** The texts of a receipt for keys. */

type Said = { readonly by: string; readonly at: string };

export interface ReceiptWords {
  readonly title: string;
  readonly what: string;
  readonly when: string;
  readonly dueBack: string;
  readonly recorded: string;
  readonly reason: string;
  readonly says: { readonly issued: string; readonly returned: string; readonly 'handed-over': string };
  readonly classes: { readonly access: string; readonly 'cash-box': string };
  readonly copies: (count: number) => string;
  readonly copy: (copy: { readonly number: string; readonly code: string; readonly keyClass: string }) => string;
  readonly sides: { readonly giver: string; readonly receiver: string };
  readonly unconfirmed: string;
  readonly confirmed: { readonly [how in 'recorded' | 'signed-in' | 'link' | 'signed']: (said: Said) => string };
  readonly signedAs: (name: string) => string;
  readonly corrected: { readonly title: string; readonly text: (numbers: string) => string };
  readonly proof: { readonly title: string; readonly text: (about: { readonly place: number; readonly size: number }) => string; readonly head: string; readonly entry: string };
  readonly continued: (eventId: string) => string;
  readonly page: (page: number, pages: number) => string;
}

const en: ReceiptWords = {
  title: 'Receipt for keys',
  what: 'What',
  when: 'When',
  dueBack: 'Lent until',
  recorded: 'Recorded',
  reason: 'Reason',
  says: { issued: 'Issued', returned: 'Returned', 'handed-over': 'Handed over' },
  classes: { access: 'access key', 'cash-box': 'cash-box key' },
  copies: (count) => (count === 1 ? 'Key' : 'Keys'),
  copy: ({ number, keyClass, code }) => `${number}, ${keyClass}, code ${code}`,
  sides: { giver: 'Given by', receiver: 'Received by' },
  unconfirmed: 'Not confirmed yet.',
  confirmed: {
    recorded: ({ by, at }) => `Confirmed by ${by}, who recorded it, ${at}.`,
    'signed-in': ({ by, at }) => `Confirmed by ${by}, signed in, ${at}.`,
    link: ({ by, at }) => `Confirmed by ${by} through a one-use link, ${at}.`,
    signed: ({ by, at }) => `Confirmed by signature of ${by}, ${at}.`,
  },
  signedAs: (name) => `Signed: ${name}`,
  corrected: { title: 'Corrected', text: (numbers) => `A later record took the place of this one for ${numbers}.` },
  proof: {
    title: 'Evidence',
    text: ({ place, size }) =>
      `This event is entry ${place} of the operator’s evidence log. The attached file holds the entry and a proof that it lies under the head of ${size} entries. Whoever keeps this receipt can later check that neither it nor anything before it was changed or dropped.`,
    head: 'Head',
    entry: 'Entry',
  },
  continued: (eventId) => `Receipt ${eventId}, continued`,
  page: (page, pages) => `Page ${page} of ${pages}`,
};

const de: ReceiptWords = {
  title: 'Schlüsselquittung',
  what: 'Was',
  when: 'Wann',
  dueBack: 'Verliehen bis',
  recorded: 'Eingetragen',
  reason: 'Grund',
  says: { issued: 'Ausgegeben', returned: 'Zurückgegeben', 'handed-over': 'Weitergegeben' },
  classes: { access: 'Zugangsschlüssel', 'cash-box': 'Kassenschlüssel' },
  copies: () => 'Schlüssel',
  copy: ({ number, keyClass, code }) => `${number}, ${keyClass}, Schließung ${code}`,
  sides: { giver: 'Gegeben von', receiver: 'Erhalten von' },
  unconfirmed: 'Noch nicht bestätigt.',
  confirmed: {
    recorded: ({ by, at }) => `Bestätigt von ${by}, beim Eintragen, ${at}.`,
    'signed-in': ({ by, at }) => `Bestätigt von ${by}, angemeldet, ${at}.`,
    link: ({ by, at }) => `Bestätigt von ${by} über einen Link, der einmal gilt, ${at}.`,
    signed: ({ by, at }) => `Bestätigt durch Unterschrift von ${by}, ${at}.`,
  },
  signedAs: (name) => `Unterschrieben: ${name}`,
  corrected: { title: 'Berichtigt', text: (numbers) => `Für ${numbers} ist ein späterer Eintrag an die Stelle dieses Eintrags getreten.` },
  proof: {
    title: 'Nachweis',
    text: ({ place, size }) =>
      `Dieses Ereignis ist Eintrag ${place} im Protokoll des Aufstellers. Die beigefügte Datei enthält den Eintrag und den Beleg, dass er unter dem Protokollkopf über ${size} Einträge liegt. Wer diese Quittung aufbewahrt, kann später prüfen, dass weder er noch etwas davor verändert oder weggelassen wurde.`,
    head: 'Kopf',
    entry: 'Eintrag',
  },
  continued: (eventId) => `Quittung ${eventId}, Fortsetzung`,
  page: (page, pages) => `Seite ${page} von ${pages}`,
};

const es: ReceiptWords = {
  title: 'Recibo de llaves',
  what: 'Qué',
  when: 'Cuándo',
  dueBack: 'Prestada hasta',
  recorded: 'Anotado',
  reason: 'Motivo',
  says: { issued: 'Entrega', returned: 'Devolución', 'handed-over': 'Traspaso' },
  classes: { access: 'llave de acceso', 'cash-box': 'llave de la caja' },
  copies: (count) => (count === 1 ? 'Llave' : 'Llaves'),
  copy: ({ number, keyClass, code }) => `${number}, ${keyClass}, código ${code}`,
  sides: { giver: 'La dio', receiver: 'La recibió' },
  unconfirmed: 'Aún sin confirmar.',
  confirmed: {
    recorded: ({ by, at }) => `Confirmado por ${by}, al anotarlo, ${at}.`,
    'signed-in': ({ by, at }) => `Confirmado por ${by}, con su sesión iniciada, ${at}.`,
    link: ({ by, at }) => `Confirmado por ${by} con un enlace de un solo uso, ${at}.`,
    signed: ({ by, at }) => `Confirmado con la firma de ${by}, ${at}.`,
  },
  signedAs: (name) => `Firmado: ${name}`,
  corrected: { title: 'Corregido', text: (numbers) => `Para ${numbers}, una anotación posterior ocupó el lugar de esta.` },
  proof: {
    title: 'Prueba',
    text: ({ place, size }) =>
      `Este hecho es la entrada ${place} del registro del operador. El archivo adjunto contiene la entrada y la prueba de que está bajo la cabecera de ${size} entradas. Quien guarde este recibo puede comprobar después que ni ella ni nada anterior se cambió u omitió.`,
    head: 'Cabecera',
    entry: 'Entrada',
  },
  continued: (eventId) => `Recibo ${eventId}, continuación`,
  page: (page, pages) => `Página ${page} de ${pages}`,
};

const WRITTEN: Readonly<Record<string, ReceiptWords>> = { en, de, es };

/** Words of a BCP 47 locale, and the language in which they are; English where its language has none. */
export function receiptWordsOf(locale: string): { readonly tag: string; readonly words: ReceiptWords } {
  const words = WRITTEN[locale.split('-')[0] ?? ''];
  return words === undefined ? { tag: 'en', words: en } : { tag: locale, words };
}
