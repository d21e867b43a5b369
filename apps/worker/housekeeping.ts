import { waitingBatches } from '#backoffice/close/batch.sql';
import { batchTopics } from '#backoffice/close/enqueue-batches';
import type { WorkDeps } from '#backoffice/close/work';
import { forgetExpired } from '#backoffice/identity/forget-expired';
import { sendDailyHeads } from '#backoffice/evidence/send-heads';
import { stampDailyHeads, type TimestampAuthority } from '#backoffice/evidence/stamp-heads';
import { clearOutbox, enqueue } from '#database/outbox';
import { listTenantIds, withTenant } from '#database/tenant';
import type { SendMail } from '#runtime/mail';

const MINUTE_MS = 60_000;
const DAY_MS = 24 * 60 * MINUTE_MS;
/** Longer than the queue keeps a finished job, so that a row that is relayed twice is known by it. */
const OUTBOX_DAYS = 14;
/** A batch that nobody has taken for so long, while the queue is empty, has lost its message. */
const LOST_AFTER_MS = 5 * MINUTE_MS;

/** Asks again for batches whose message was lost. A batch that is asked for twice is done once. */
export async function wakeLostBatches(deps: WorkDeps): Promise<number> {
  const before = new Date(deps.clock.now().getTime() - LOST_AFTER_MS);
  let woken = 0;
  for (const tenantId of await listTenantIds(deps.database)) {
    woken += await withTenant(deps.database, { tenantId, kind: 'system', id: 'worker:wake' }, async (tx) => {
      const lost = await waitingBatches(tx, before);
      for (const batch of lost) await enqueue(tx, batchTopics[batch.task], { batchId: batch.id });
      return lost.length;
    });
  }
  return woken;
}

/** Clears away what is kept for a time only: relayed work, ended sessions, old answers to repeated requests. */
export async function clearAway(deps: WorkDeps): Promise<void> {
  const relayedBefore = new Date(deps.clock.now().getTime() - OUTBOX_DAYS * DAY_MS);
  for (const tenantId of await listTenantIds(deps.database)) {
    await withTenant(deps.database, { tenantId, kind: 'system', id: 'worker:clear' }, (tx) => clearOutbox(tx, { relayedBefore }));
  }
  await forgetExpired(deps);
}

export type Housekeeping = { readonly close: () => Promise<void> };

/** Runs all for as long as the worker runs: lost messages every minute, clearing away, mails and stamps of the heads of the day every hour. */
export function startHousekeeping(options: {
  readonly deps: WorkDeps;
  /** Whether nothing waits in any queue: only then is an old batch a lost one. */
  readonly isIdle: () => Promise<boolean>;
  readonly sendMail: SendMail;
  /** Stamps heads, where one is configured. */
  readonly timestampAuthority: TimestampAuthority | undefined;
  readonly onTrouble: (error: unknown) => void;
}): Housekeeping {
  let running: Promise<void> = Promise.resolve();
  const after = (work: () => Promise<void>): void => {
    running = running.then(work).catch(options.onTrouble);
  };
  const wake = async (): Promise<void> => {
    if (await options.isIdle()) await wakeLostBatches(options.deps);
  };
  const sendHeads = () => sendDailyHeads(options.deps, { send: options.sendMail, onTrouble: options.onTrouble });
  const { timestampAuthority } = options;
  const stampHeads = async (): Promise<void> => {
    if (timestampAuthority !== undefined) await stampDailyHeads(options.deps, { ...timestampAuthority, onTrouble: options.onTrouble });
  };
  // One after the other, each with troubles of its own: what is stamped is what went out by mail.
  const hourly = [() => clearAway(options.deps), async () => void (await sendHeads()), stampHeads];
  const timers = [setInterval(() => after(wake), MINUTE_MS), setInterval(() => hourly.forEach(after), 60 * MINUTE_MS)];
  after(wake);
  return {
    close: async () => {
      timers.forEach(clearInterval);
      await running;
    },
  };
}
