import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { SendStatementMails, StatementMails } from '#contracts/statement-mail';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { askAgain, countByState, countUnasked, insertMails, isRun, readTroubles, sitesWithoutReceiver } from './statement-mail.sql';

const TROUBLES_SHOWN = 1000;

/** Has the statements of a close that stand sent to their payees and the people of their sites, each once; what went out already does not go out again. */
export function askForMails(deps: Backoffice, caller: Caller, command: SendStatementMails & { readonly id: string }): Promise<Outcome<StatementMails>> {
  return perform<StatementMails>(deps, caller, 'statement-mail.send', async ({ tx, now }) => {
    if (!(await isRun(tx, command.id))) return refused('not-found');
    await insertMails(tx, { closeRunId: command.id, now });
    if (command.again === true) await askAgain(tx, { closeRunId: command.id, now });
    return done(await mailsOf(tx, { closeRunId: command.id, now }));
  });
}

/** How far they are. */
export function readMails(deps: Backoffice, caller: Caller, id: string): Promise<Outcome<StatementMails>> {
  return perform<StatementMails>(deps, caller, 'statement-mail.read', async ({ tx, now }) =>
    (await isRun(tx, id)) ? done(await mailsOf(tx, { closeRunId: id, now })) : refused('not-found'),
  );
}

async function mailsOf(tx: TenantTransaction, run: { closeRunId: string; now: Date }): Promise<StatementMails> {
  const counts = await countByState(tx, run);
  const of = (state: string): number => counts.get(state) ?? 0;
  const troubles = await readTroubles(tx, { ...run, limit: TROUBLES_SHOWN });
  return {
    waiting: of('waiting') + of('sending'),
    sent: of('sent'),
    refused: of('refused'),
    unclear: of('unclear'),
    leftOut: of('left-out'),
    notAsked: await countUnasked(tx, run),
    sitesWithoutReceiver: await sitesWithoutReceiver(tx, run),
    troubles: troubles.map((row) => ({
      settlementId: row.settlement_id,
      number: row.number,
      siteCode: row.site_code,
      receiver: row.receiver,
      accountId: row.receiver === 'member' ? row.receiver_id : null,
      state: row.state,
      attempts: row.attempts,
      triedAt: formatInstant(row.changed_at),
    })),
  };
}
