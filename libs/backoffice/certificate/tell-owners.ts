import { readableFingerprint } from '#statement/verify/fingerprint';
import type { Backoffice } from '../dependencies';
import { localeFor, sendDueMails, type Mail, type Message } from '../send-due-mails';
import { revocationMailWordsOf } from './mail-words';
import { mails, takeMail, type DueMail } from './tell-owners.sql';

/** Tells owners by mail of certificates that were revoked, and what that means for statements signed before. Gives how many mails went out. */
export function tellOwnersOfRevocations(deps: Pick<Backoffice, 'database' | 'clock' | 'publicUrl'>, mail: Mail): Promise<number> {
  const messageOf = (due: DueMail, operator: Office['operator']): Message | null =>
    due.email === null ? null : { to: [due.email], ...textOf(due, { operator, publicUrl: deps.publicUrl }) };
  return sendDueMails(deps, { worker: 'certificate-mails', mails, take: takeMail, messageOf }, mail);
}

type Office = { readonly operator: { readonly name: string; readonly code: string; readonly locale: string }; readonly publicUrl: string };

function textOf(due: DueMail, { operator, publicUrl }: Office): Omit<Message, 'to'> {
  const words = revocationMailWordsOf(localeFor(due, operator));
  const isEarlier = due.revoked_from < due.recorded_at;
  const what = due.about === 'confirmed' ? words.doubted(due.since) : isEarlier ? words.waits(due.since) : words.stand(due.before);
  return {
    subject: words.subject(operator.name, due.about),
    text: [
      words.lead(operator.name, due.about),
      '',
      ...words.facts({
        fingerprint: readableFingerprint(due.fingerprint.toString('hex')),
        from: due.revoked_from.toISOString(),
        by: due.by_name ?? due.by_actor,
        reason: due.reason,
      }),
      '',
      what,
      ...(isEarlier ? [words.stand(due.before)] : []),
      due.was_in_use ? words.next : words.inUse,
      `${publicUrl}/operators/${operator.code}/signature`,
      '',
    ].join('\n'),
  };
}
