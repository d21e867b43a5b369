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
  skip: 'Skip to the content',
  navigation: 'Main',
  account: 'Your account',
  toAccount: 'Password and second factor',
  toPeople: 'People who may sign in',
  toTokens: 'API tokens',
  otherOperators: 'Other operators',
  signOut: 'Sign out',
  share: 'My share',
  monthEnd: 'Month end',
  collections: 'Collections',
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
