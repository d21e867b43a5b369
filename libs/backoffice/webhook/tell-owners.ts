import type { Backoffice } from '../dependencies';
import type { OperatorRow } from '../operator/operator.sql';
import { localeFor, sendDueMails, type Mail, type Message } from '../send-due-mails';
import { webhookMailWordsOf } from './mail-words';
import { mails, takeMail, type DueMail } from './tell-owners.sql';

/** Tells owners by mail of webhooks that take nothing. Gives how many mails went out. */
export function tellOwnersOfWebhooks(deps: Pick<Backoffice, 'database' | 'clock' | 'publicUrl'>, mail: Mail): Promise<number> {
  const messageOf = (due: DueMail, operator: OperatorRow): Message | null =>
    due.email === null ? null : { to: [due.email], ...textOf(due, { operator, publicUrl: deps.publicUrl }) };
  return sendDueMails(deps, { worker: 'webhook-mails', mails, take: takeMail, messageOf }, mail);
}

function textOf(due: DueMail, { operator, publicUrl }: { readonly operator: OperatorRow; readonly publicUrl: string }): Omit<Message, 'to'> {
  const words = webhookMailWordsOf(localeFor(due, operator));
  const happened = due.about === 'failed' ? 'failed' : due.off_reason === 'gone' ? 'gone' : 'failing';
  return {
    subject: words.subject[happened]({ webhook: due.name, operator: operator.name }),
    text: [words.why[happened], '', ...words.facts({ webhook: due.name, address: due.url, notTaken: due.failed }), '', words.next, `${publicUrl}/operators/${operator.code}/webhooks`, ''].join('\n'),
  };
}
