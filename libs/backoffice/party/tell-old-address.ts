import { writtenLanguage, type WrittenLanguage } from '#statement/words/languages';
import type { Backoffice } from '../dependencies';
import type { OperatorRow } from '../operator/operator.sql';
import { sendDueMails, type Mail, type Message } from '../send-due-mails';
import { mails, takeMail, type DueMail } from './address-change.sql';

/** Tells a payee at the address that was replaced that their mails go elsewhere, in their language. Gives how many mails went out. */
export function tellOldAddresses(deps: Pick<Backoffice, 'database' | 'clock'>, mail: Mail): Promise<number> {
  return sendDueMails(deps, { worker: 'address-changes', mails, take: takeMail, messageOf: messageTo }, mail);
}

interface Words {
  readonly subject: (party: string) => string;
  readonly another: (about: { operator: string; party: string }) => string;
  readonly none: (about: { operator: string; party: string }) => string;
  readonly on: (instant: string) => string;
  readonly unexpected: string;
}

const en: Words = {
  subject: (party) => `E-mail address of ${party}`,
  another: ({ operator, party }) => `At ${operator} the e-mail address of ${party} was changed: statements, and news about the bank account, go to another address from now on.`,
  none: ({ operator, party }) => `At ${operator} the e-mail address of ${party} was taken out: statements are not sent by mail any more.`,
  on: (instant) => `  on  ${instant}`,
  unexpected: 'If you did not expect this, call the office at the number that you know, not at one from a letter or mail about the change.',
};

const de: Words = {
  subject: (party) => `E-Mail-Adresse von ${party}`,
  another: ({ operator, party }) => `Bei ${operator} wurde die E-Mail-Adresse von ${party} geändert: Abrechnungen und Nachrichten über das Bankkonto gehen ab jetzt an eine andere.`,
  none: ({ operator, party }) => `Bei ${operator} wurde die E-Mail-Adresse von ${party} entfernt: Abrechnungen gehen nicht mehr per E-Mail aus.`,
  on: (instant) => `  am  ${instant}`,
  unexpected: 'Haben Sie das nicht erwartet, rufen Sie im Büro an: unter der Nummer, die Sie kennen, nicht unter einer aus einem Brief oder einer E-Mail über die Änderung.',
};

const es: Words = {
  subject: (party) => `Dirección de correo de ${party}`,
  another: ({ operator, party }) => `En ${operator} se cambió la dirección de correo de ${party}: las liquidaciones y los avisos sobre la cuenta bancaria van desde ahora a otra dirección.`,
  none: ({ operator, party }) => `En ${operator} se quitó la dirección de correo de ${party}: las liquidaciones ya no se envían por correo.`,
  on: (instant) => `  el  ${instant}`,
  unexpected: 'Si no lo esperaba, llame a la oficina al número que usted conoce, no a uno de una carta o un correo sobre el cambio.',
};

const catalogues: Readonly<Record<WrittenLanguage, Words>> = { en, de, es };

function messageTo(due: DueMail, operator: OperatorRow): Message {
  const words = catalogues[writtenLanguage(due.locale)];
  const about = { operator: operator.name, party: due.party_name };
  return {
    to: [due.old_email],
    subject: words.subject(due.party_name),
    text: [due.new_email === null ? words.none(about) : words.another(about), '', words.on(due.happened_at.toISOString()), '', words.unexpected, ''].join('\n'),
  };
}
