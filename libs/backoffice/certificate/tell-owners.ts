import { listTenantIds, withTenant } from '#database/tenant';
import { readableFingerprint } from '#statement/verify/fingerprint';
import type { Backoffice } from '../dependencies';
import type { MailOutcome } from '../mail-attempt.sql';
import { presentOperator } from '../operator/operator.sql';
import { revocationMailWordsOf } from './mail-words';
import { noteMail, takeMail, type DueMail } from './tell-owners.sql';

type Message = { readonly to: readonly string[]; readonly subject: string; readonly text: string };

/**
 * Tells owners by mail of certificates that were revoked, and what that means for statements signed before: one that went out is never
 * sent a second time by itself, one that was refused is tried again, with growing pauses for most of a day. Gives how many went out.
 */
export async function tellOwnersOfRevocations(
  deps: Pick<Backoffice, 'database' | 'clock' | 'publicUrl'>,
  mail: { readonly send: (message: Message) => Promise<MailOutcome>; readonly onTrouble: (error: unknown) => void; readonly signal?: AbortSignal },
): Promise<number> {
  let sent = 0;
  for (const tenantId of await listTenantIds(deps.database)) {
    const scope = { tenantId, kind: 'system', id: 'worker:certificate-mails' } as const;
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

type Office = { readonly operator: { readonly name: string; readonly code: string; readonly locale: string }; readonly publicUrl: string };

function messageOf(due: DueMail, { operator, publicUrl }: Office): Omit<Message, 'to'> {
  const words = revocationMailWordsOf(operator.locale);
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
      words.next,
      `${publicUrl}/operators/${operator.code}/signature`,
      '',
    ].join('\n'),
  };
}
