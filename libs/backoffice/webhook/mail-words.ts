/** The texts of the mail that tells owners of a webhook that takes nothing, in their language. */
import { writtenLanguage, type WrittenLanguage } from '#statement/words/languages';

/** A message was given up; the webhook was switched off because its server wants nothing any more, or because it took nothing for days. */
type Happened = 'failed' | 'gone' | 'failing';

interface WebhookMailWords {
  readonly subject: Readonly<Record<Happened, (about: { webhook: string; operator: string }) => string>>;
  readonly why: Readonly<Record<Happened, string>>;
  readonly facts: (about: { webhook: string; address: string; notTaken: number }) => readonly string[];
  readonly next: string;
}

const en: WebhookMailWords = {
  subject: {
    failed: ({ webhook, operator }) => `The webhook ${webhook} of ${operator} did not take a message`,
    gone: ({ webhook, operator }) => `The webhook ${webhook} of ${operator} was switched off`,
    failing: ({ webhook, operator }) => `The webhook ${webhook} of ${operator} was switched off`,
  },
  why: {
    failed: 'A message to it was given up: it was tried eight times in a day, and was not taken.',
    gone: 'It was switched off: its server answered that nothing is received there any more.',
    failing: 'It was switched off: it has taken nothing for days.',
  },
  facts: ({ webhook, address, notTaken }) => [`  webhook      ${webhook}`, `  address      ${address}`, `  not taken    ${notTaken}`],
  next: 'Nothing is lost: what it did not take is kept, for 60 days unless you decided otherwise, and can be sent again when it is mended. The reason of each attempt is listed there:',
};

const de: WebhookMailWords = {
  subject: {
    failed: ({ webhook, operator }) => `Der Webhook ${webhook} von ${operator} hat eine Nachricht nicht angenommen`,
    gone: ({ webhook, operator }) => `Der Webhook ${webhook} von ${operator} wurde abgeschaltet`,
    failing: ({ webhook, operator }) => `Der Webhook ${webhook} von ${operator} wurde abgeschaltet`,
  },
  why: {
    failed: 'Eine Nachricht an ihn wurde aufgegeben: Sie wurde an einem Tag achtmal versucht und nicht angenommen.',
    gone: 'Er wurde abgeschaltet: Sein Server antwortete, dass dort nichts mehr angenommen wird.',
    failing: 'Er wurde abgeschaltet: Seit Tagen hat er nichts angenommen.',
  },
  facts: ({ webhook, address, notTaken }) => [`  Webhook            ${webhook}`, `  Adresse            ${address}`, `  nicht angenommen   ${notTaken}`],
  next: 'Verloren ist nichts: Was er nicht angenommen hat, wird aufbewahrt, 60 Tage, wenn Sie nichts anderes festgelegt haben, und kann erneut gesendet werden, sobald der Fehler behoben ist. Der Grund jedes Versuchs steht hier:',
};

const es: WebhookMailWords = {
  subject: {
    failed: ({ webhook, operator }) => `El webhook ${webhook} de ${operator} no aceptó un mensaje`,
    gone: ({ webhook, operator }) => `El webhook ${webhook} de ${operator} se desactivó`,
    failing: ({ webhook, operator }) => `El webhook ${webhook} de ${operator} se desactivó`,
  },
  why: {
    failed: 'Se abandonó un mensaje: se intentó ocho veces en un día y no se aceptó.',
    gone: 'Se desactivó: su servidor respondió que allí ya no se recibe nada.',
    failing: 'Se desactivó: lleva días sin aceptar nada.',
  },
  facts: ({ webhook, address, notTaken }) => [`  webhook        ${webhook}`, `  dirección      ${address}`, `  no aceptados   ${notTaken}`],
  next: 'No se pierde nada: lo que no aceptó se guarda, 60 días si usted no decidió otra cosa, y puede enviarse de nuevo cuando esté arreglado. El motivo de cada intento figura aquí:',
};

const catalogues: Readonly<Record<WrittenLanguage, WebhookMailWords>> = { en, de, es };

/** By a BCP 47 locale; other languages are written to in English. */
export function webhookMailWordsOf(locale: string): WebhookMailWords {
  return catalogues[writtenLanguage(locale)];
}
