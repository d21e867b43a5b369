import { announceBankDetails } from '#backoffice/bank-detail/announce';
import { tellPayees } from '#backoffice/bank-detail/tell-payee';
import { wakeBatches } from '#backoffice/close/batch.sql';
import { batchTopics } from '#backoffice/close/enqueue-batches';
import { PATIENCE_MS } from '#backoffice/close/patience';
import { tellOwnersOfRevocations } from '#backoffice/certificate/tell-owners';
import { warnOfCertificatesThatEnd } from '#backoffice/certificate/warn';
import type { WorkDeps } from '#backoffice/close/work';
import type { StatementDeps } from '#backoffice/statement/issue';
import { forgetExpired } from '#backoffice/identity/forget-expired';
import { sendDailyHeads } from '#backoffice/evidence/send-heads';
import { stampDailyHeads } from '#backoffice/evidence/stamp-heads';
import { tellOldAddresses } from '#backoffice/party/tell-old-address';
import { removeWhatIsOver } from '#backoffice/retention/remove';
import { mailStatements } from '#backoffice/statement-mail/mail-statements';
import { clearEndedSecrets } from '#backoffice/webhook/webhook.sql';
import { tellOwnersOfWebhooks } from '#backoffice/webhook/tell-owners';
import { clearOutbox, enqueueAll } from '#database/outbox';
import { listTenantIds, withTenant } from '#database/tenant';
import { mailOutcome, type Message, type SendMail } from '#runtime/mail';
import { repeated } from './repeated';
import type { Webhooks } from './webhooks';

const MINUTE_MS = 60_000;
const DAY_MS = 24 * 60 * MINUTE_MS;
/** Longer than the queue keeps a finished job, so that a row that is relayed twice is known by it. */
const OUTBOX_DAYS = 14;
/** A batch that waits for so long may have lost its message, or stand behind others in the queue. */
const LOST_AFTER_MS = 5 * MINUTE_MS;
/** The pauses between two wakes of a batch double up to this, so that one which waits for days gathers few messages. The queue itself gives up a message after five to nine hours. */
const LONGEST_PAUSE_MS = 8 * 60 * MINUTE_MS;

/**
 * Asks again for batches whose message may be lost, and for those whose patience with a time-stamp authority is over. Each is judged by itself: what
 * waits for one operator's key or stamp keeps nobody else's from being found. A batch that is asked for twice is done once.
 */
export async function wakeLostBatches(deps: WorkDeps): Promise<number> {
  const due = { now: deps.clock.now(), lostAfterMs: LOST_AFTER_MS, longestPauseMs: LONGEST_PAUSE_MS, patienceMs: PATIENCE_MS };
  let woken = 0;
  for (const tenantId of await listTenantIds(deps.database)) {
    woken += await withTenant(deps.database, { tenantId, kind: 'system', id: 'worker:wake' }, async (tx) => {
      const lost = await wakeBatches(tx, due);
      for (const task of new Set(lost.map((batch) => batch.task))) {
        await enqueueAll(tx, batchTopics[task], lost.flatMap((batch) => (batch.task === task ? [{ batchId: batch.id }] : [])));
      }
      return lost.length;
    });
  }
  return woken;
}

/** Clears away what no operator has a say about: relayed work, secrets of webhooks that ended, ended sessions, old answers to repeated requests. */
export async function clearAway(deps: WorkDeps): Promise<void> {
  const relayedBefore = new Date(deps.clock.now().getTime() - OUTBOX_DAYS * DAY_MS);
  for (const tenantId of await listTenantIds(deps.database)) {
    await withTenant(deps.database, { tenantId, kind: 'system', id: 'worker:clear' }, async (tx) => {
      await clearOutbox(tx, { relayedBefore });
      await clearEndedSecrets(tx, deps.clock.now());
    });
  }
  await forgetExpired(deps);
}

export type Housekeeping = { readonly close: () => Promise<void> };

/** Runs all for as long as the worker runs: lost messages, webhooks that are to be tried again, mails about bank accounts, addresses, certificates and webhooks, and statements by mail every minute, clearing away, what is over by its time of keeping, mails and stamps of the heads of the day every hour. */
export function startHousekeeping(options: {
  readonly deps: WorkDeps & Pick<StatementDeps, 'timestampAuthority'>;
  readonly sendMail: SendMail;
  readonly webhooks: Pick<Webhooks, 'look'>;
  /** Links in mails begin with it. */
  readonly publicUrl: string;
  readonly onTrouble: (error: unknown) => void;
}): Housekeeping {
  const closing = new AbortController();
  const wake = async (): Promise<void> => void (await wakeLostBatches(options.deps));
  const byMail = { send: (message: Message) => mailOutcome(options.sendMail, message), onTrouble: options.onTrouble, signal: closing.signal };
  const announce = async (): Promise<void> => void (await announceBankDetails(options.deps, byMail));
  const tellOfAccounts = async (): Promise<void> => void (await tellPayees(options.deps, byMail));
  const tellOfAddresses = async (): Promise<void> => void (await tellOldAddresses(options.deps, byMail));
  const mail = async (): Promise<void> => void (await mailStatements(options.deps, byMail));
  const tellOwners = async (): Promise<void> => void (await tellOwnersOfWebhooks({ ...options.deps, publicUrl: options.publicUrl }, byMail));
  const tellOfRevocations = async (): Promise<void> => void (await tellOwnersOfRevocations({ ...options.deps, publicUrl: options.publicUrl }, byMail));
  const warnOfEnds = async (): Promise<void> => void (await warnOfCertificatesThatEnd({ ...options.deps, publicUrl: options.publicUrl }, byMail));
  const sendHeads = () => sendDailyHeads(options.deps, { send: options.sendMail, onTrouble: options.onTrouble });
  const { timestampAuthority } = options.deps;
  const stampHeads = async (): Promise<void> => {
    if (timestampAuthority !== undefined) await stampDailyHeads(options.deps, { ...timestampAuthority, onTrouble: options.onTrouble });
  };
  const webhooks = repeated([() => options.webhooks.look()], options.onTrouble);
  // Apart: a mail server that does not answer must not keep lost messages waiting.
  const batches = repeated([wake], options.onTrouble);
  const mails = repeated([tellOfAddresses, tellOfAccounts, announce, tellOfRevocations, warnOfEnds, tellOwners, mail], options.onTrouble);
  const remove = async (): Promise<void> => void (await removeWhatIsOver(options.deps, { onTrouble: options.onTrouble, signal: closing.signal }));
  // Apart: what lay for years takes hours to remove, and the heads of the day are not to wait for it.
  const removal = repeated([remove], options.onTrouble);
  // One after the other: what is stamped is what went out by mail.
  const day = repeated([() => clearAway(options.deps), async () => void (await sendHeads()), stampHeads], options.onTrouble);
  const timers = [setInterval(batches.go, MINUTE_MS), setInterval(mails.go, MINUTE_MS), setInterval(webhooks.go, MINUTE_MS), setInterval(removal.go, 60 * MINUTE_MS), setInterval(day.go, 60 * MINUTE_MS)];
  batches.go();
  webhooks.go();
  return {
    close: async () => {
      timers.forEach(clearInterval);
      closing.abort();
      await Promise.all([batches, mails, webhooks, removal, day].map(({ ended }) => ended()));
    },
  };
}
