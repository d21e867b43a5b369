/** The texts of the mail about a bank account to which money goes, in the receiver's language. */
import { writtenLanguage, type WrittenLanguage } from '#statement/words/languages';

export type About = 'proposed' | 'confirmed' | 'rejected' | 'withdrawn';

interface BankDetailMailWords {
  readonly subject: (whose: string) => string;
  readonly what: Readonly<Record<About, (about: { operator: string; whose: string }) => string>>;
  readonly facts: (about: { country: string; ending: string; by: string; on: string }) => readonly string[];
  /** Who did it, to people of a site: who works for the operator is none of their business. */
  readonly theOperator: string;
  readonly unexpected: string;
  /** To a payee, who may have no account: why they get it. */
  readonly why: (operator: string) => string;
}

const en: BankDetailMailWords = {
  subject: (whose) => `Bank account of ${whose}`,
  what: {
    proposed: ({ operator, whose }) => `At ${operator} the bank account of ${whose} is to be changed: a new account was entered and waits for a second person.`,
    confirmed: ({ operator, whose }) => `At ${operator} the bank account of ${whose} was changed: a new account was confirmed and is paid to from now on.`,
    rejected: ({ operator, whose }) => `At ${operator} the bank account of ${whose} stays as it was: the account that was entered was rejected.`,
    withdrawn: ({ operator, whose }) => `At ${operator} the bank account of ${whose} was stopped: nothing is paid to this account any more.`,
  },
  facts: ({ country, ending, by, on }) => [`  account  ${country}, ending in ${ending}`, `  by       ${by}`, `  on       ${on}`],
  theOperator: 'the operator',
  unexpected: 'If you did not expect this, call the office at the number that you know, not at one from a letter or mail about the change.',
  why: (operator) => `You get this mail because ${operator} had this address for your statements before the change.`,
};

const de: BankDetailMailWords = {
  subject: (whose) => `Bankkonto von ${whose}`,
  what: {
    proposed: ({ operator, whose }) => `Bei ${operator} soll das Bankkonto von ${whose} geändert werden: Ein neues Konto wurde eingetragen und wartet auf eine zweite Person.`,
    confirmed: ({ operator, whose }) => `Bei ${operator} wurde das Bankkonto von ${whose} geändert: Ein neues Konto wurde bestätigt; ab jetzt wird darauf gezahlt.`,
    rejected: ({ operator, whose }) => `Bei ${operator} bleibt das Bankkonto von ${whose}, wie es war: Das eingetragene Konto wurde abgelehnt.`,
    withdrawn: ({ operator, whose }) => `Bei ${operator} wurde das Bankkonto von ${whose} gesperrt: Auf dieses Konto wird nichts mehr gezahlt.`,
  },
  facts: ({ country, ending, by, on }) => [`  Konto   ${country}, endet auf ${ending}`, `  durch   ${by}`, `  am      ${on}`],
  theOperator: 'den Aufsteller',
  unexpected: 'Haben Sie das nicht erwartet, rufen Sie im Büro an: unter der Nummer, die Sie kennen, nicht unter einer aus einem Brief oder einer E-Mail über die Änderung.',
  why: (operator) => `Sie erhalten diese E-Mail, weil ${operator} diese Adresse vor der Änderung für Ihre Abrechnungen führte.`,
};

const es: BankDetailMailWords = {
  subject: (whose) => `Cuenta bancaria de ${whose}`,
  what: {
    proposed: ({ operator, whose }) => `En ${operator} se va a cambiar la cuenta bancaria de ${whose}: se introdujo una cuenta nueva, que espera a una segunda persona.`,
    confirmed: ({ operator, whose }) => `En ${operator} se cambió la cuenta bancaria de ${whose}: se confirmó una cuenta nueva, en la que se paga desde ahora.`,
    rejected: ({ operator, whose }) => `En ${operator} la cuenta bancaria de ${whose} queda como estaba: la cuenta que se introdujo se rechazó.`,
    withdrawn: ({ operator, whose }) => `En ${operator} se bloqueó la cuenta bancaria de ${whose}: en esta cuenta ya no se paga nada.`,
  },
  facts: ({ country, ending, by, on }) => [`  cuenta   ${country}, termina en ${ending}`, `  por      ${by}`, `  el       ${on}`],
  theOperator: 'el operador',
  unexpected: 'Si no lo esperaba, llame a la oficina al número que usted conoce, no a uno de una carta o un correo sobre el cambio.',
  why: (operator) => `Recibe este correo porque ${operator} tenía esta dirección para sus liquidaciones antes del cambio.`,
};

const catalogues: Readonly<Record<WrittenLanguage, BankDetailMailWords>> = { en, de, es };

/** By a BCP 47 locale; other languages are written to in English. */
export function bankDetailMailWordsOf(locale: string): BankDetailMailWords {
  return catalogues[writtenLanguage(locale)];
}
