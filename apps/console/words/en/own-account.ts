/** What only the page of the own account and that of a link say. */
export const ownAccount = {
  title: 'Your account',
  lead: (name: string, email: string) => `${name}, ${email}`,
  password: 'Password',
  newPassword: 'New password',
  newPasswordMissing: 'Enter a new password',
  passwordHint: 'At least 12 characters. A few words that nobody would put together are good.',
  passwordTooWeak: 'The new password is too short or too common',
  passwordChanged: 'The password is changed. Every other session has been closed.',
  changePassword: 'Set the new password',
  sessions: 'Sessions',
  sessionsLead: 'Closes every session of this account, here and on other devices.',
  signOutEverywhere: 'Sign out everywhere',
};

export const link = {
  title: 'Your link',
  titles: { invitation: 'You are invited', 'new-password': 'Set a new password' },
  accept: 'Accept and sign in',
  known: (email: string) => `${email} has an account already. Enter its password to accept.`,
  unknown: (email: string) => `An account is made for ${email}.`,
  forAccount: (email: string) => `For ${email}.`,
  name: 'Your name',
  nameMissing: 'Enter your name',
};
