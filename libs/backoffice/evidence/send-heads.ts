import { listTenantIds, withTenant, type TenantTransaction } from '#database/tenant';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { selectMembers } from '../identity/member.sql';
import { selectOperator } from '../operator/operator.sql';
import { readHead } from './read.sql';
import { insertSent, selectLastSent } from './send-heads.sql';

type Message = { readonly to: readonly string[]; readonly subject: string; readonly text: string };

/** A head that is due, and the mail that carries it. */
type Due = { readonly tenantId: string; readonly sentOn: string; readonly size: bigint; readonly root: Buffer; readonly message: Message };

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
      await mail.send(due.message);
      await withTenant(deps.database, scope, (tx) => insertSent(tx, { ...due, addresses: due.message.to.length, now: deps.clock.now() }));
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
  const to = (await selectMembers(tx)).filter(({ role }) => role === 'owner' || role === 'auditor').map(({ email }) => email);
  if (to.length === 0) return null;
  const root = head.root.toString('hex');
  return {
    tenantId: tx.tenantId,
    sentOn,
    size: head.size,
    root: head.root,
    message: {
      to,
      subject: `Head of the evidence log of ${operator.name}, ${sentOn}`,
      text: [
        `The evidence log of ${operator.name} holds ${head.size} entries about settlements, statements and keys.`,
        '',
        'Keep this mail. With these two figures anybody can check later, on the server, that none of these entries was changed or dropped:',
        '',
        `  entries  ${head.size}`,
        `  head     ${root}`,
        '',
        `  npm run verify-log -- --operator ${operator.code.toUpperCase()} --size ${head.size} --root ${root}`,
        '',
      ].join('\n'),
    },
  };
}
