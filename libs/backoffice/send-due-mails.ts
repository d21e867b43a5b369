import { listTenantIds, withTenant, type TenantTransaction } from '#database/tenant';
import { primaryLanguage } from '#statement/words/languages';
import type { Backoffice } from './dependencies';
import { giveUpLost, noteOutcome, type MailOutcome, type MailTable } from './mail-attempt.sql';
import { presentOperator, type OperatorRow } from './operator/operator.sql';

export type Message = { readonly to: readonly string[]; readonly subject: string; readonly text: string };

export type Mail = { readonly send: (message: Message) => Promise<MailOutcome>; readonly onTrouble: (error: unknown) => void; readonly signal?: AbortSignal };

type Kind<Column extends string, Due> = {
  /** Who the audit trail names. */
  readonly worker: string;
  /** Where they wait, and what names one of them. */
  readonly mails: MailTable<Column>;
  /** Writes the mails that a moment makes due, where that is not done by what they are about. */
  readonly ask?: (tx: TenantTransaction, now: Date) => Promise<void>;
  /** Takes the next one that is due, and writes that it is on its way before it is. */
  readonly take: (tx: TenantTransaction, now: Date) => Promise<Due | undefined>;
  /** Null where nobody is to get it any more. */
  readonly messageOf: (due: Due, operator: OperatorRow) => Message | null;
};

/**
 * Sends the mails of one kind that are due, operator by operator, one by one: one that went out is never sent a second time by itself, one that was
 * refused is tried again, with growing pauses for most of a day. Between two mails it can be stopped by `signal`. Gives how many went out.
 */
export async function sendDueMails<Column extends string, Due extends Readonly<Record<Column, unknown>>>(deps: Pick<Backoffice, 'database' | 'clock'>, kind: Kind<Column, Due>, mail: Mail): Promise<number> {
  let sent = 0;
  for (const tenantId of await listTenantIds(deps.database)) {
    const scope = { tenantId, kind: 'system', id: `worker:${kind.worker}` } as const;
    try {
      await withTenant(deps.database, scope, async (tx) => {
        const now = deps.clock.now();
        await giveUpLost(tx, kind.mails, now);
        await kind.ask?.(tx, now);
      });
      while (mail.signal?.aborted !== true) {
        const due = await withTenant(deps.database, scope, async (tx) => {
          const taken = await kind.take(tx, deps.clock.now());
          return taken === undefined ? undefined : { taken, operator: await presentOperator(tx) };
        });
        if (due === undefined) break;
        const message = kind.messageOf(due.taken, due.operator);
        const state = message === null ? 'left-out' : await mail.send(message);
        await withTenant(deps.database, scope, (tx) => noteOutcome(tx, kind.mails, { mail: due.taken, state, now: deps.clock.now() }));
        if (state === 'sent') sent += 1;
      }
    } catch (error) {
      // One operator's trouble is no reason to leave the others untold.
      mail.onTrouble(error);
    }
  }
  return sent;
}

/** In which language, and with which region's dates, somebody is written to: the one that they chose for the console, else the office's. */
export function localeFor(receiver: { readonly language: string | null }, operator: { readonly locale: string }): string {
  const { language } = receiver;
  return language === null || language === primaryLanguage(operator.locale) ? operator.locale : language;
}
