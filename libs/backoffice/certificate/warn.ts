import type { TenantTransaction } from '#database/tenant';
import { formatDate } from '#statement/words/format';
import { languageOf } from '#statement/words/languages';
import { readableFingerprint } from '#statement/verify/fingerprint';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import type { OperatorRow } from '../operator/operator.sql';
import { localeFor, sendDueMails, type Mail, type Message } from '../send-due-mails';
import { DAY_MS, FIRST_WARNING_DAYS, readAttention } from './attention';
import { endMailWordsOf } from './end-mail-words';
import { askForMails, mails, takeMail, type DueMail } from './warn.sql';

const SECOND_WARNING_DAYS = 7;

/** Tells owners and bookkeepers, a month and a week before, that the certificate in use ends and none follows it in time; each once. Gives how many mails went out. */
export function warnOfCertificatesThatEnd(deps: Pick<Backoffice, 'database' | 'clock' | 'publicUrl'>, mail: Mail): Promise<number> {
  const messageOf = (due: DueMail & { readonly settled: boolean }, operator: OperatorRow): Message | null =>
    due.email === null || due.settled ? null : { to: [due.email], ...textOf(due, { operator, publicUrl: deps.publicUrl }) };
  return sendDueMails(deps, { worker: 'certificate-end-mails', mails, ask, take, messageOf }, mail);
}

async function ask(tx: TenantTransaction, now: Date): Promise<void> {
  const attention = await readAttention(tx, now);
  if (attention?.why !== 'ends-soon') return;
  const isLast = new Date(attention.validTo).getTime() - now.getTime() <= SECOND_WARNING_DAYS * DAY_MS;
  await askForMails(tx, { certificateId: attention.certificateId, daysBefore: isLast ? SECOND_WARNING_DAYS : FIRST_WARNING_DAYS, now });
}

/** `settled`: another one was brought since, so that there is nothing to warn of. */
async function take(tx: TenantTransaction, now: Date): Promise<(DueMail & { readonly settled: boolean }) | undefined> {
  const due = await takeMail(tx, now);
  if (due === undefined) return undefined;
  const attention = await readAttention(tx, now);
  return { ...due, settled: attention?.certificateId !== due.certificate_id || attention.why === 'revoked' };
}

function textOf(due: DueMail, { operator, publicUrl }: { readonly operator: OperatorRow; readonly publicUrl: string }): Omit<Message, 'to'> {
  const locale = localeFor(due, operator);
  const words = endMailWordsOf(locale);
  const day = localDay({ instant: due.valid_to, timeZone: operator.time_zone });
  const about = { operator: operator.name, day: day === null ? due.valid_to.toISOString() : formatDate(day, languageOf(locale)) };
  return {
    subject: words.subject(about),
    text: [words.what(about), '', ...words.facts({ fingerprint: readableFingerprint(due.fingerprint.toString('hex')), to: due.valid_to.toISOString() }), '', words.next, `${publicUrl}/operators/${operator.code}/signature`, ''].join('\n'),
  };
}
