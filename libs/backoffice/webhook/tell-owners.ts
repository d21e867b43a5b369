import { listTenantIds, withTenant } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import type { MailOutcome } from '../mail-attempt.sql';
import { presentOperator } from '../operator/operator.sql';
import { noteMail, takeMail, type DueMail } from './tell-owners.sql';

type Message = { readonly to: readonly string[]; readonly subject: string; readonly text: string };

/**
 * Tells owners by mail of webhooks that take nothing: one that went out is never sent a second time by itself, one that was refused is tried
 * again, with growing pauses for most of a day. Gives how many went out.
 */
export async function tellOwnersOfWebhooks(
  deps: Pick<Backoffice, 'database' | 'clock' | 'publicUrl'>,
  mail: { readonly send: (message: Message) => Promise<MailOutcome>; readonly onTrouble: (error: unknown) => void; readonly signal?: AbortSignal },
): Promise<number> {
  let sent = 0;
  for (const tenantId of await listTenantIds(deps.database)) {
    const scope = { tenantId, kind: 'system', id: 'worker:webhook-mails' } as const;
    try {
      while (mail.signal?.aborted !== true) {
        const due = await withTenant(deps.database, scope, async (tx) => {
          const taken = await takeMail(tx, deps.clock.now());
          return taken === undefined ? undefined : { taken, operator: await presentOperator(tx) };
        });
        if (due === undefined) break;
        const { email } = due.taken;
        const state = email === null ? 'left-out' : await mail.send({ to: [email], ...messageOf(due.taken, { operator: due.operator, publicUrl: deps.publicUrl }) });
        await withTenant(deps.database, scope, (tx) => noteMail(tx, { mail: due.taken, state, now: deps.clock.now() }));
        if (state === 'sent') sent += 1;
      }
    } catch (error) {
      // One operator's trouble is no reason to leave the others untold.
      mail.onTrouble(error);
    }
  }
  return sent;
}

function messageOf(due: DueMail, { operator, publicUrl }: { operator: { readonly name: string; readonly code: string }; publicUrl: string }): Omit<Message, 'to'> {
  const why =
    due.about === 'failed'
      ? 'A message to it was given up: it was tried eight times in a day, and was not taken.'
      : due.off_reason === 'gone'
        ? 'It was switched off: its server answered that nothing is received there any more.'
        : 'It was switched off: it has taken nothing for days.';
  return {
    subject: `The webhook ${due.name} of ${operator.name} ${due.about === 'failed' ? 'did not take a message' : 'was switched off'}`,
    text: [
      why,
      '',
      `  webhook      ${due.name}`,
      `  address      ${due.url}`,
      `  not taken    ${due.failed}`,
      '',
      'Nothing is lost: what it did not take is kept, for 60 days unless you decided otherwise, and can be sent again when it is mended. The reason of each attempt is listed there:',
      `${publicUrl}/operators/${operator.code}/webhooks`,
      '',
    ].join('\n'),
  };
}
