/** What only the page of the own account and that of a link say. */
export const ownAccount = {
  title: 'Ihr Konto',
  lead: (name: string, email: string) => `${name}, ${email}`,
  password: 'Passwort',
  newPassword: 'Neues Passwort',
  newPasswordMissing: 'Geben Sie ein neues Passwort ein',
  passwordHint: 'Mindestens 12 Zeichen. Gut sind einige Wörter, die niemand nebeneinander stellen würde.',
  passwordTooWeak: 'Das neue Passwort ist zu kurz oder zu verbreitet',
  passwordChanged: 'Das Passwort ist geändert. Alle anderen Sitzungen wurden beendet.',
  changePassword: 'Neues Passwort setzen',
  sessions: 'Sitzungen',
  sessionsLead: 'Beendet alle Sitzungen dieses Kontos, hier und auf anderen Geräten.',
  signOutEverywhere: 'Überall abmelden',
};

export const link = {
  title: 'Ihr Link',
  titles: { invitation: 'Sie sind eingeladen', 'new-password': 'Neues Passwort setzen' },
  accept: 'Annehmen und anmelden',
  known: (email: string) => `Für ${email} gibt es schon ein Konto. Geben Sie dessen Passwort ein, um anzunehmen.`,
  unknown: (email: string) => `Für ${email} wird ein Konto angelegt.`,
  forAccount: (email: string) => `Für ${email}.`,
  name: 'Ihr Name',
  nameMissing: 'Geben Sie Ihren Namen ein',
};
