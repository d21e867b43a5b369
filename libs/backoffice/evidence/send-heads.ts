import { listTenantIds, withTenant, type TenantTransaction } from '#database/tenant';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { selectMembers } from '../identity/member.sql';
import { selectOperator } from '../operator/operator.sql';
import { localeFor, type Message } from '../send-due-mails';
import { groupBy } from '../settlement/inputs/group-by';
import { headMailWordsOf } from './head-mail-words';
import { readHead } from './read.sql';
import { insertSent, selectLastSent } from './send-heads.sql';

/** A head that is due, and the mails that carry it: one to all who are written to in the same language. */
type Due = { readonly tenantId: string; readonly sentOn: string; readonly size: bigint; readonly root: Buffer; readonly messages: readonly Message[] };

/**
 * Sends each operator's owners and auditors the head of their evidence log, once a day by the operator's calendar, where it
 * has grown since. Whoever keeps the mail holds a head outside, under which no entry can be changed or dropped unnoticed. A
 * mail that could not be sent is tried again at the next call; after a crash one may come twice. Gives how many heads went out.
 */
export async function sendDailyHeads(
  deps: Pick<Backoffice, 'database' | 'clock'>,
  mail: { readonly send: (message: Message) => Promise<void>; readonly onTrouble: (error: unknown) => void },
): Promise<number> {
  let sent = 0;
  for (const tenantId of await listTenantIds(deps.database)) {
    const scope = { tenantId, kind: 'system', id: 'worker:heads' } as const;
    try {
      const due = await withTenant(deps.database, scope, (tx) => dueHead(tx, deps.clock.now()));
      if (due === null) continue;
      for (const message of due.messages) await mail.send(message);
      await withTenant(deps.database, scope, (tx) => insertSent(tx, { ...due, addresses: due.messages.flatMap(({ to }) => to).length, now: deps.clock.now() }));
      sent += 1;
    } catch (error) {
      // One operator's trouble is no reason to keep the heads of the others.
      mail.onTrouble(error);
    }
  }
  return sent;
}

async function dueHead(tx: TenantTransaction, now: Date): Promise<Due | null> {
  const [operator, head, last] = [await selectOperator(tx), await readHead(tx), await selectLastSent(tx)];
  const sentOn = operator === null ? null : localDay({ instant: now, timeZone: operator.time_zone });
  if (operator === null || sentOn === null || head === undefined) return null;
  if (last !== null && (last.sent_on >= sentOn || last.size >= head.size)) return null;
  const receivers = (await selectMembers(tx)).filter(({ role }) => role === 'owner' || role === 'auditor');
  if (receivers.length === 0) return null;
  const root = head.root.toString('hex');
  const messages = [...groupBy(receivers, (receiver) => localeFor(receiver, operator))].map(([locale, members]): Message => {
    const words = headMailWordsOf(locale);
    return {
      to: members.map(({ email }) => email),
      subject: words.subject({ operator: operator.name, day: sentOn }),
      text: [
        words.holds({ operator: operator.name, entries: head.size }),
        '',
        words.keep,
        '',
        ...words.figures({ entries: head.size, head: root }),
        '',
        `  npm run verify-log -- --operator ${operator.code.toUpperCase()} --size ${head.size} --root ${root}`,
        '',
      ].join('\n'),
    };
  });
  return { tenantId: tx.tenantId, sentOn, size: head.size, root: head.root, messages };
}
