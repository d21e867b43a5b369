import { account } from './en/account';
import { collectionState } from './en/collection-state';
import { language, number } from './en/counting';
import { agreementState, monthEnd } from './en/month-end';
import { problems } from './en/problems';
import { broken, chooseOperator, denied, frame, notFound, roles, signIn, unsentVisits } from './en/session';
import { statement } from './en/statement';
import { signature } from './en/signature';
import { journalMonths } from './en/journal-months';

/**
 * What the console says on the screens that come with its first script, and everywhere, in English. Sentences are whole,
 * with their figures as parameters, because other languages order and inflect them differently.
 */
export const en = {
  language,
  documentTitle: (screen: string) => `${screen} – Latchledger`,
  loading: 'Loading',
  working: 'One moment…',
  cancel: 'Cancel',
  more: 'Show more',
  download: 'Download as CSV',
  downloadRefused: 'The file could not be fetched. Try again.',
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
    unreachableAdvice: 'Check the connection. Nothing that you entered is lost',
    unreadable: 'The server gave an answer that makes no sense here',
    unreadableAdvice: 'Wait a moment and try again',
    again: 'Try again',
    inEnglish: 'In English, for questions:',
    requestId: (id: string) => `Name this when you report it: ${id}`,
  },
  actor: { you: 'you', colleague: 'a colleague', token: 'another program', system: 'Latchledger', operator: 'the operator' },
  form: {
    notTaken: 'This is not taken as it is.',
    sendAgain: 'Whether it was recorded is not known. Send it again from here: it is recorded once at most',
    problem: (errors: number) => (errors === 1 ? 'One thing needs a correction' : `${number.format(errors)} things need a correction`),
  },
  account,
  agreementState,
  broken,
  chooseOperator,
  collectionState,
  denied,
  frame,
  journalMonths,
  monthEnd,
  notFound,
  unsentVisits,
  problems,
  roles,
  signature,
  signIn,
  statement,
};
