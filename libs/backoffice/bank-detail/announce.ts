import { listTenantIds, withTenant, type TenantTransaction } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { selectMembers, type MemberRow } from '../identity/member.sql';
import { selectOperator, type OperatorRow } from '../operator/operator.sql';
import { localeFor, type Mail, type Message } from '../send-due-mails';
import { countMails, insertNotice, noteOutcome, selectUnannounced, takeMail, type UnannouncedRow } from './announce.sql';
import { bankDetailMailWordsOf } from './mail-words';

type Due = { readonly row: UnannouncedRow; readonly operator: OperatorRow; readonly members: readonly MemberRow[] };
type Scope = Parameters<typeof withTenant>[1];

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
  return operator === null ? [] : rows.map((row) => ({ row, operator, members }));
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
function messageTo(receiver: MemberRow, { row, operator, members }: Due): Message {
  const words = bankDetailMailWordsOf(localeFor(receiver, operator));
  const whose = row.party_name ?? operator.name;
  const by = receiver.site_ids.length > 0 && receiver.role !== 'owner' ? words.theOperator : (members.find(({ account_id: id }) => row.happened_by === `user:${id}`)?.name ?? row.happened_by);
  return {
    to: [receiver.email],
    subject: words.subject(whose),
    text: [
      words.what[row.about]({ operator: operator.name, whose }),
      '',
      ...words.facts({ country: row.country, ending: row.ending, by, on: row.happened_at.toISOString() }),
      '',
      words.unexpected,
      '',
    ].join('\n'),
  };
}
