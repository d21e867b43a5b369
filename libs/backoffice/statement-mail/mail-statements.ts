import { listTenantIds, withTenant } from '#database/tenant';
import { addDays } from '#domain/calendar/local-date';
import { formatPeriod } from '#statement/words/format';
import { languageOf } from '#statement/words/languages';
import { mailWordsOf } from '#statement/words/mail';
import type { Backoffice } from '../dependencies';
import { noteOutcome, type MailOutcome } from '../mail-attempt.sql';
import { selectOperator } from '../operator/operator.sql';
import { readPdf } from '../statement/archive.sql';
import { mails, takeDue, type DueMail } from './statement-mail.sql';

export type StatementMessage = {
  readonly to: readonly string[];
  readonly subject: string;
  readonly text: string;
  readonly attachment: { readonly fileName: string; readonly mediaType: string; readonly bytes: Buffer };
};

/** Mails of one operator at a call: a month of thousands must not hold up what else waits. */
const MOST_AT_ONCE = 200;

/**
 * Sends the statements that wait to go out, one by one. That a mail is on its way is committed before it leaves, and what became
 * of it afterwards: whoever is killed in between leaves one that is listed as unclear, and no second copy goes out by itself.
 * What was refused is tried again, with growing pauses for most of a day. A statement that was reversed meanwhile, and one for
 * somebody who left, stays here. Between two mails it can be stopped by `signal`. Gives how many went out.
 */
export async function mailStatements(
  deps: Pick<Backoffice, 'database' | 'clock'>,
  mail: { readonly send: (message: StatementMessage) => Promise<MailOutcome>; readonly onTrouble: (error: unknown) => void; readonly signal?: AbortSignal },
): Promise<number> {
  let sent = 0;
  for (const tenantId of await listTenantIds(deps.database)) {
    const scope = { tenantId, kind: 'system', id: 'worker:statement-mails' } as const;
    try {
      for (let tried = 0; tried < MOST_AT_ONCE && mail.signal?.aborted !== true; tried += 1) {
        const due = await withTenant(deps.database, scope, (tx) => takeDue(tx, deps.clock.now()));
        if (due === undefined) break;
        const message = await messageOf(deps, scope, due);
        const state = message === null ? 'left-out' : await mail.send(message);
        await withTenant(deps.database, scope, (tx) => noteOutcome(tx, mails, { mail: due, state, now: deps.clock.now() }));
        if (state === 'sent') sent += 1;
      }
    } catch (error) {
      // One operator's trouble is no reason to keep the statements of the others.
      mail.onTrouble(error);
    }
  }
  return sent;
}

async function messageOf(deps: Pick<Backoffice, 'database'>, scope: Parameters<typeof withTenant>[1], due: DueMail): Promise<StatementMessage | null> {
  const { email } = due;
  if (email === null || !due.stands) return null;
  const [operator, bytes] = await withTenant(deps.database, scope, async (tx) => [await selectOperator(tx), await readPdf(tx, due.settlement_id)] as const);
  if (operator === null || bytes === undefined) return null;
  const language = languageOf(due.locale);
  const words = mailWordsOf(language.tag);
  const period = formatPeriod({ firstDay: due.starts_on, lastDay: addDays(due.ends_before, -1) }, language);
  return {
    to: [email],
    subject: words.subject({ number: due.number, operator: operator.name }),
    text: [
      words.attached({ number: due.number, operator: operator.name, site: due.site_name, period }),
      '',
      words.check(operator.verification_address),
      '',
      ...(due.receiver === 'payee' ? [words.why(operator.name), ''] : []),
    ].join('\n'),
    attachment: { fileName: `statement-${due.number}.pdf`, mediaType: 'application/pdf', bytes },
  };
}
