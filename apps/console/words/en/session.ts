import { count } from './counting';

export const signIn = {
  title: 'Sign in',
  lead: 'Latchledger',
  email: 'E-mail address',
  password: 'Password',
  action: 'Sign in',
  emailMissing: 'Enter your e-mail address',
  passwordMissing: 'Enter your password',
  refused: 'E-mail address or password is not right. An owner of the operator can give you a link to set a new one',
  code: 'Code',
  codeHint: 'Six digits from your authenticator app, or a recovery code',
  codeMissing: 'Enter the code',
  codeRefused: 'The code is not right. Wait for the next one and try again',
  startOver: 'Sign in as somebody else',
  againTitle: 'Sign in again',
  againLead: 'Your session has ended. The page behind stays as it is, and what you were doing goes on.',
  leave: 'Leave this page instead',
};

export const chooseOperator = {
  title: 'Choose an operator',
  lead: (name: string) => `${name}, you work for several operators.`,
  none: 'Your account belongs to no operator at present.',
};

export const roles = {
  owner: 'owner',
  bookkeeper: 'bookkeeper',
  collector: 'collector',
  custodian: 'custodian',
  'site-manager': 'site manager',
  reviewer: 'reviewer',
  auditor: 'auditor',
};

export const frame = {
  earnings: 'Earnings',
  skip: 'Skip to the content',
  navigation: 'Main',
  account: 'Your account',
  toAccount: 'Password and second factor',
  toSetUp: 'Set up',
  toPeople: 'People who may sign in',
  toTokens: 'API tokens',
  toWebhooks: 'Webhooks',
  toRetention: 'Keeping records',
  toAudit: 'Audit trail',
  toEvidence: 'Proof of the log',
  webhooksFail: (names: string) => `Not every message was taken by ${names}`,
  language: 'Language',
  otherOperators: 'Other operators',
  signOut: 'Sign out',
  share: 'My share',
  today: 'Today',
  monthEnd: 'Month end',
  collections: 'Collections',
  variances: 'Variances',
  payments: 'Payments',
  search: 'Search',
  sites: 'Sites',
  keys: 'Keys',
  tax: 'Tax',
};

export const denied = {
  title: 'This is not open to your role',
  text: (role: string) => `You are signed in as ${role}. An owner of the operator can change that.`,
};

export const notFound = { title: 'Nothing here', text: 'The address is wrong, or what it led to belongs to somebody else.', home: 'Go to the start page' };

export const broken = {
  bug: { title: 'This screen has broken', text: 'That is a fault of ours. Nothing in the books has been changed by it.' },
  missing: { title: 'This screen did not load', text: 'The connection may be gone, or there is a new version of the program.' },
  reload: 'Load it again',
};

/** Visits of a phone that are on nothing else yet, when somebody signs out of it. */
export const unsentVisits = {
  title: 'Sign out with work that is not sent?',
  what: (visits: number) => `${count(visits, 'visit', 'visits')} on this phone did not arrive yet. They stay on it, and are sent when you sign in again on this phone.`,
  counts: (counts: number) => `${count(counts, 'count', 'counts')} of the counting room ${counts === 1 ? 'was' : 'were'} begun here and not handed in. What was typed is deleted when you sign out.`,
  action: 'Sign out all the same',
};
