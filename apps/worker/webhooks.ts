import { WEBHOOKS_DUE } from '#backoffice/webhook/announce.sql';
import { areDeliveriesDue, deliverDue, type DeliverDeps } from '#backoffice/webhook/deliver';
import { listTenantIds } from '#database/tenant';
import type { WakeUp } from '#runtime/queue';

export type Webhooks = {
  /**
   * Goes to work for the operators of these wake-ups. The queue is passed by: whoever relays a row tells what it is about, and what is lost
   * with a process is found by the next look.
   */
  readonly wake: (wakeUps: readonly WakeUp[]) => void;
  /** Looks at every operator for what is due, is to be tried again or was lost with a worker. */
  readonly look: () => Promise<void>;
  /** Begins nothing more and waits for the requests that are under way. */
  readonly close: () => Promise<void>;
};

/** Tells webhooks what happened, each operator apart: the slow address of one keeps nobody else's waiting. */
export function startWebhooks(deps: DeliverDeps): Webhooks {
  const closing = new AbortController();
  const running = new Map<string, Promise<void>>();
  const asked = new Set<string>();

  const run = async (tenantId: string): Promise<void> => {
    while (asked.delete(tenantId) && !closing.signal.aborted) {
      await deliverDue({ ...deps, signal: closing.signal }, tenantId).catch(deps.onTrouble);
    }
    running.delete(tenantId);
  };
  const go = (tenantId: string): void => {
    asked.add(tenantId);
    if (!running.has(tenantId)) running.set(tenantId, run(tenantId));
  };
  return {
    wake: (wakeUps) => {
      for (const { topic, tenantId } of wakeUps) if (topic === WEBHOOKS_DUE) go(tenantId);
    },
    look: async () => {
      for (const tenantId of await listTenantIds(deps.database)) {
        if (closing.signal.aborted) return;
        // The trouble of one operator is no reason to leave the others untold.
        if (await areDeliveriesDue(deps, tenantId).catch((error: unknown) => (deps.onTrouble(error), false))) go(tenantId);
      }
    },
    close: async () => {
      closing.abort();
      await Promise.all(running.values());
    },
  };
}
