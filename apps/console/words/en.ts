import { people, secret, tokens } from './en/access';
import { account, link } from './en/account';
import { collectionKeys } from './en/collection-keys';
import { collections, collectionState } from './en/collections';
import { language, number } from './en/counting';
import { custody } from './en/custody';
import { imports } from './en/imports';
import { keyCases } from './en/key-cases';
import { keyInventories } from './en/key-inventories';
import { keyPolicy } from './en/key-policy';
import { keyReceipt } from './en/key-receipt';
import { keySetUp } from './en/key-set-up';
import { keys } from './en/keys';
import { agreementState, monthEnd } from './en/month-end';
import { advanceChanges, booking, openItems, payments, taxPayments } from './en/payments';
import { problems } from './en/problems';
import { broken, chooseOperator, denied, frame, notFound, roles, signIn } from './en/session';
import { settlement, statement } from './en/settlement';
import { advances, share, sites } from './en/sites';
import { journalMonths, siteAccount } from './en/site-account';
import { tax } from './en/tax';

/**
 * Everything the console says, in English. Sentences are whole, with their figures as parameters, because other
 * languages order and inflect them differently.
 */
export const en = {
  language,
  documentTitle: (screen: string) => `${screen} – Latchledger`,
  loading: 'Loading',
  working: 'One moment…',
  cancel: 'Cancel',
  more: 'Show more',
  site: 'Site',
  machine: 'Machine',
  /** Kinds are codes of the operator: `pool-table`. */
  machineKind: (kind: string) => kind.charAt(0).toUpperCase() + kind.slice(1).replaceAll('-', ' '),
  state: 'State',
  period: 'Period',
  recorded: 'Recorded',
  reason: 'Reason',
  /** Head of a column of buttons. */
  commands: 'What can be done',
  reasonMissing: 'Enter a reason of at least three characters',
  trouble: {
    unreachable: 'The server cannot be reached',
    unreachableAdvice: 'Check the connection. Nothing that you entered is lost.',
    unreadable: 'The server gave an answer that makes no sense here',
    unreadableAdvice: 'Wait a moment and try again.',
    again: 'Try again',
    requestId: (id: string) => `Name this when you report it: ${id}`,
  },
  actor: { you: 'you', colleague: 'a colleague', token: 'another program', system: 'Latchledger', operator: 'the operator' },
  form: {
    problem: (errors: number) => (errors === 1 ? 'One thing needs a correction' : `${number.format(errors)} things need a correction`),
  },
  account,
  advanceChanges,
  agreementState,
  booking,
  broken,
  chooseOperator,
  collectionKeys,
  collections,
  collectionState,
  custody,
  denied,
  frame,
  imports,
  journalMonths,
  keyCases,
  keyInventories,
  keyPolicy,
  keyReceipt,
  keySetUp,
  keys,
  link,
  monthEnd,
  notFound,
  openItems,
  payments,
  people,
  problems,
  roles,
  secret,
  settlement,
  share,
  signIn,
  siteAccount,
  sites,
  advances,
  statement,
  tax,
  taxPayments,
  tokens,
};
