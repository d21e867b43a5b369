import { withTenant, type TenantTransaction } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { insertAttempt, isAnythingDue, isFailingSince, noteDelivery, reclaimLost, switchOff, takeDelivery, type DueDelivery } from './deliver.sql';
import { isTaken, keptAnswer, type PostWebhook, type WebhookAnswer } from './post';
import { prepareEvents } from './prepare';
import { nextAttemptAt, retryAfterMs } from './retry';
import { openSecrets } from './secret';
import { signatureHeaders } from './sign';
import { askForMails } from './tell-owners.sql';

export type DeliverDeps = Pick<Backoffice, 'database' | 'clock' | 'operatorSecrets' | 'publicUrl'> & {
  readonly post: PostWebhook;
  readonly onTrouble: (error: unknown) => void;
  /** No further delivery is begun once it says so; what is under way ends. */
  readonly signal?: AbortSignal;
  /** Called between the steps. Tests end the work there as a crash would. */
  readonly onStep?: (step: string) => void;
};

/** An address that took nothing for so long is switched off: longer than a weekend and its Monday. */
const FAILING_DAYS = 4;
const DAY_MS = 24 * 60 * 60 * 1000;
/** Requests of one operator at once. */
const LANES = 4;

type Scope = Parameters<typeof withTenant>[1];
const scopeOf = (tenantId: string): Scope => ({ tenantId, kind: 'system', id: 'worker:webhooks' });

/** Whether an operator has anything to be told, or to be told again. */
export function areDeliveriesDue(deps: Pick<DeliverDeps, 'database' | 'clock'>, tenantId: string): Promise<boolean> {
  return withTenant(deps.database, scopeOf(tenantId), async (tx) => {
    await reclaimLost(tx, deps.clock.now());
    return isAnythingDue(tx, deps.clock.now());
  });
}

/**
 * Tells an operator's webhooks all that is due, and tries again what is to be tried again. That a request is on its way is committed before it
 * leaves, and what became of it afterwards: whoever is killed in between leaves one that goes out a second time, under the same id, by
 * which its receiver knows it. Several workers may be at it. Gives how many requests were made.
 */
export async function deliverDue(deps: DeliverDeps, tenantId: string): Promise<number> {
  const scope = scopeOf(tenantId);
  for (let isAll = false; !isAll && !isEnding(deps); ) {
    const prepared = await withTenant(deps.database, scope, (tx) => prepareEvents(deps, tx));
    isAll = prepared.isAll || prepared.made === 0;
    deps.onStep?.('prepared');
  }
  const made = await Promise.all(Array.from({ length: LANES }, () => lane(deps, scope)));
  return made.reduce((sum, each) => sum + each, 0);
}

async function lane(deps: DeliverDeps, scope: Scope): Promise<number> {
  for (let made = 0; ; made += 1) {
    const due = isEnding(deps) ? undefined : await withTenant(deps.database, scope, (tx) => take(deps, tx));
    if (due === undefined) return made;
    deps.onStep?.('taken');
    await deliver(deps, scope, due);
    deps.onStep?.('noted');
  }
}

type Taken = DueDelivery & { readonly secrets: readonly string[] };

async function take(deps: DeliverDeps, tx: TenantTransaction): Promise<Taken | undefined> {
  const due = await takeDelivery(tx, deps.clock.now());
  return due === undefined ? undefined : { ...due, secrets: await openSecrets(deps, tx, due.sealed_secrets) };
}

async function deliver(deps: DeliverDeps, scope: Scope, due: Taken): Promise<void> {
  const begunAt = deps.clock.now();
  const headers = { 'content-type': 'application/json', ...signatureHeaders({ id: due.event_id, sentAt: begunAt, body: due.body }, due.secrets) };
  const answer = await deps.post({ url: due.url, headers, body: due.body });
  deps.onStep?.('posted');
  const endedAt = deps.clock.now();
  await withTenant(deps.database, scope, async (tx) => {
    await insertAttempt(tx, {
      deliveryId: due.id,
      number: due.attempts,
      begunAt,
      durationMs: Math.max(0, endedAt.getTime() - begunAt.getTime()),
      status: answer.kind === 'answered' ? answer.status : null,
      failure: answer.kind === 'answered' ? null : answer.failure,
      answer: answer.kind === 'answered' ? keptAnswer(answer.text) : '',
    });
    await note(tx, { due, answer, now: endedAt });
  });
}

async function note(tx: TenantTransaction, { due, answer, now }: { readonly due: DueDelivery; readonly answer: WebhookAnswer; readonly now: Date }): Promise<void> {
  const of = { deliveryId: due.id, number: due.attempts, now };
  if (isTaken(answer)) return void (await noteDelivery(tx, { ...of, state: 'delivered', dueAt: null }));
  const isGone = answer.kind === 'answered' && answer.status === 410;
  const asked = answer.kind === 'answered' ? retryAfterMs(answer.retryAfter, now) : null;
  const dueAt = isGone ? null : nextAttemptAt({ deliveryId: due.id, attempts: due.counted, at: now, retryAfterMs: asked });
  const isOwn = await noteDelivery(tx, { ...of, state: dueAt === null ? 'failed' : 'waiting', dueAt });
  if (!isOwn || dueAt !== null) return;
  const webhookId = due.webhook_id;
  const isFailing = isGone || (await isFailingSince(tx, { webhookId, since: new Date(now.getTime() - FAILING_DAYS * DAY_MS) }));
  const isOff = isFailing && (await switchOff(tx, { webhookId, reason: isGone ? 'gone' : 'failing', now }));
  await askForMails(tx, { webhookId, about: isOff ? 'switched-off' : 'failed', now });
}

function isEnding({ signal }: DeliverDeps): boolean {
  return signal?.aborted === true;
}
