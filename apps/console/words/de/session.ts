import { noun, number } from './counting';

export const signIn = {
  title: 'Anmelden',
  lead: 'Latchledger',
  email: 'E-Mail-Adresse',
  password: 'Passwort',
  action: 'Anmelden',
  emailMissing: 'Geben Sie Ihre E-Mail-Adresse ein',
  passwordMissing: 'Geben Sie Ihr Passwort ein',
  refused: 'E-Mail-Adresse oder Passwort stimmt nicht. Ein Inhaber des Betriebs kann Ihnen einen Link geben, mit dem Sie ein neues setzen',
  code: 'Code',
  codeHint: 'Sechs Ziffern aus Ihrer Authentifizierungs-App oder ein Wiederherstellungscode',
  codeMissing: 'Geben Sie den Code ein',
  codeRefused: 'Der Code stimmt nicht. Warten Sie auf den nächsten und versuchen Sie es noch einmal',
  startOver: 'Als jemand anderes anmelden',
  againTitle: 'Erneut anmelden',
  againLead: 'Ihre Sitzung ist abgelaufen. Die Seite dahinter bleibt, wie sie ist, und Sie machen dort weiter.',
  leave: 'Diese Seite verlassen',
};

export const chooseOperator = {
  title: 'Betrieb wählen',
  lead: (name: string) => `${name}, Sie arbeiten für mehrere Betriebe.`,
  none: 'Ihr Konto gehört derzeit zu keinem Betrieb.',
};

export const roles = {
  owner: 'Inhaber',
  bookkeeper: 'Buchhaltung',
  collector: 'Kassierer',
  custodian: 'Schlüsselverwaltung',
  'site-manager': 'Standortleitung',
  reviewer: 'Prüfer',
  auditor: 'Revision',
};

export const frame = {
  earnings: 'Erträge',
  skip: 'Zum Inhalt springen',
  navigation: 'Hauptmenü',
  account: 'Ihr Konto',
  toAccount: 'Passwort und zweiter Faktor',
  toSetUp: 'Einrichten',
  toPeople: 'Wer sich anmelden darf',
  toTokens: 'API-Token',
  toWebhooks: 'Webhooks',
  toRetention: 'Aufbewahrung',
  toAudit: 'Änderungsprotokoll',
  toEvidence: 'Nachweis des Protokolls',
  webhooksFail: (names: string) => `Nicht jede Nachricht wurde angenommen: ${names}`,
  language: 'Sprache',
  otherOperators: 'Andere Betriebe',
  signOut: 'Abmelden',
  share: 'Mein Anteil',
  today: 'Heute',
  monthEnd: 'Monatsabschluss',
  collections: 'Leerungen',
  variances: 'Differenzen',
  payments: 'Zahlungen',
  search: 'Suche',
  sites: 'Standorte',
  keys: 'Schlüssel',
  tax: 'Steuer',
};

export const denied = {
  title: 'Das ist für Ihre Rolle nicht zugänglich',
  text: (role: string) => `Sie sind mit der Rolle „${role}“ angemeldet. Ein Inhaber des Betriebs kann das ändern.`,
};

export const notFound = { title: 'Hier ist nichts', text: 'Die Adresse ist falsch, oder das, wohin sie führte, gehört jemand anderem.', home: 'Zur Startseite' };

export const broken = {
  bug: { title: 'Diese Seite ist abgestürzt', text: 'Das ist unser Fehler. An den Büchern hat er nichts geändert.' },
  missing: { title: 'Diese Seite wurde nicht geladen', text: 'Vielleicht fehlt die Verbindung, oder es gibt eine neue Version des Programms.' },
  reload: 'Neu laden',
};

/** Besuche auf einem Telefon, die sonst nirgends sind, wenn sich jemand dort abmeldet. */
export const unsentVisits = {
  title: 'Abmelden, obwohl Arbeit nicht gesendet ist?',
  counts: (counts: number) => `${noun(counts, 'Eine Zählung', `${number.format(counts)} Zählungen`)} des Zählraums ${noun(counts, 'wurde', 'wurden')} hier begonnen und nicht abgegeben. Was eingegeben ist, wird beim Abmelden gelöscht.`,
  what: (visits: number) =>
    `${noun(visits, 'Ein Besuch', `${number.format(visits)} Besuche`)} auf diesem Telefon ${noun(visits, 'ist', 'sind')} noch nicht angekommen. Sie bleiben darauf und werden gesendet, wenn Sie sich auf diesem Telefon wieder anmelden.`,
  action: 'Trotzdem abmelden',
};
