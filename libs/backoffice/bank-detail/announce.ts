import { listTenantIds, withTenant, type TenantTransaction } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { selectMembers, type MemberRow } from '../identity/member.sql';
import type { MailOutcome } from '../mail-attempt.sql';
import { selectOperator } from '../operator/operator.sql';
import { countMails, insertNotice, noteOutcome, selectUnannounced, takeMail, type UnannouncedRow } from './announce.sql';

type Message = { readonly to: readonly string[]; readonly subject: string; readonly text: string };
type Mail = { readonly send: (message: Message) => Promise<MailOutcome>; readonly onTrouble: (error: unknown) => void };
type Due = { readonly row: UnannouncedRow; readonly operatorName: string; readonly members: readonly MemberRow[] };
type Scope = Parameters<typeof withTenant>[1];

const verbs: { readonly [about in UnannouncedRow['about']]: string } = {
  proposed: 'is to be changed: a new account was entered and waits for a second person',
  confirmed: 'was changed: a new account was confirmed and is paid to from now on',
  rejected: 'stays as it was: the account that was entered was rejected',
  withdrawn: 'was stopped: nothing is paid to this account any more',
};

/**
 * Tells the owners, and the people of the payee's sites who can sign in, what happened to an account to which money goes: who
 * is robbed by a false account is the first to know that it is not theirs. Each gets a mail of their own: one that was refused is
 * tried again with growing pauses, for most of a day, and holds up nobody else's; one of which nobody knows whether it arrived is not sent
 * again. Gives how many announcements were brought to an end.
 */
export async function announceBankDetails(deps: Pick<Backoffice, 'database' | 'clock'>, mail: Mail): Promise<number> {
  let ended = 0;
  for (const tenantId of await listTenantIds(deps.database)) {
    const scope = { tenantId, kind: 'system', id: 'worker:bank-details' } as const;
    // The trouble of one operator, or of one account, is no reason to leave the others untold.
    const due = await orTrouble(mail, [], () => withTenant(deps.database, scope, dueNotices));
    for (const each of due) ended += (await orTrouble(mail, false, () => announce(deps, scope, { due: each, mail }))) ? 1 : 0;
  }
  return ended;
}

async function orTrouble<Value>({ onTrouble }: Mail, otherwise: Value, work: () => Promise<Value>): Promise<Value> {
  try {
    return await work();
  } catch (error) {
    onTrouble(error);
    return otherwise;
  }
}

async function dueNotices(tx: TenantTransaction): Promise<Due[]> {
  const rows = await selectUnannounced(tx);
  if (rows.length === 0) return [];
  const [operator, members] = [await selectOperator(tx), await selectMembers(tx)];
  return operator === null ? [] : rows.map((row) => ({ row, operatorName: operator.name, members }));
}

/** Mails to everybody to whom it is due, and says whether all is done. */
async function announce(deps: Pick<Backoffice, 'database' | 'clock'>, scope: Scope, { due, mail }: { readonly due: Due; readonly mail: Mail }): Promise<boolean> {
  const { row, members } = due;
  const about = { bankDetailId: row.bank_detail_id, about: row.about };
  const receivers = members.filter(({ role, site_ids: siteIds }) => role === 'owner' || siteIds.some((id) => row.site_ids.includes(id)));
  for (const receiver of receivers) {
    const one = { ...about, accountId: receiver.account_id };
    if (!(await withTenant(deps.database, scope, (tx) => takeMail(tx, { ...one, now: deps.clock.now() })))) continue;
    const state = await mail.send(messageTo(receiver, due));
    await withTenant(deps.database, scope, (tx) => noteOutcome(tx, { ...one, state, now: deps.clock.now() }));
  }
  return withTenant(deps.database, scope, async (tx) => {
    const now = deps.clock.now();
    const { sent, open } = await countMails(tx, { ...about, accountIds: receivers.map((receiver) => receiver.account_id), now });
    if (open > 0) return false;
    await insertNotice(tx, { ...about, addresses: sent, now });
    return true;
  });
}

/** The people of a site are others than the operator's: who works for the operator is none of their business. */
function messageTo(receiver: MemberRow, { row, operatorName, members }: Due): Message {
  const whose = row.party_name ?? operatorName;
  const by = receiver.site_ids.length > 0 && receiver.role !== 'owner' ? 'the operator' : (members.find(({ account_id: id }) => row.happened_by === `user:${id}`)?.name ?? row.happened_by);
  return {
    to: [receiver.email],
    subject: `Bank account of ${whose}`,
    text: [
      `At ${operatorName} the bank account of ${whose} ${verbs[row.about]}.`,
      '',
      `  account  ${row.country}, ending in ${row.ending}`,
      `  by       ${by}`,
      `  on       ${row.happened_at.toISOString()}`,
      '',
      'If you did not expect this, call the office at the number that you know, not at one from a letter or mail about the change.',
      '',
    ].join('\n'),
  };
}
