import type { Backoffice } from '../dependencies';
import type { OperatorRow } from '../operator/operator.sql';
import { sendDueMails, type Mail, type Message } from '../send-due-mails';
import { bankDetailMailWordsOf } from './mail-words';
import { mails, takePayeeMail, type DueMail } from './tell-payee.sql';

/** Tells payees what happened to the account to which their money goes, at the addresses known before, in their language. Gives how many mails went out. */
export function tellPayees(deps: Pick<Backoffice, 'database' | 'clock'>, mail: Mail): Promise<number> {
  return sendDueMails(deps, { worker: 'bank-details', mails, take: takePayeeMail, messageOf: messageTo }, mail);
}

function messageTo(due: DueMail, operator: OperatorRow): Message {
  const words = bankDetailMailWordsOf(due.locale);
  return {
    to: [due.email],
    subject: words.subject(due.party_name),
    text: [
      words.what[due.about]({ operator: operator.name, whose: due.party_name }),
      '',
      ...words.facts({ country: due.country, ending: due.ending, by: words.theOperator, on: due.happened_at.toISOString() }),
      '',
      words.unexpected,
      words.why(operator.name),
      '',
    ].join('\n'),
  };
}
