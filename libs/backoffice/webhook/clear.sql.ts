import type { TenantTransaction } from '#database/tenant';

/** Long enough to find out why something was not taken, and to send it again. */
export const KEPT_DAYS = 60;

/** Clears away what is older than that: deliveries that came to an end with their attempts, events with none left, mails, and secrets that have ended. */
export async function clearWebhooks(tx: TenantTransaction, now: Date): Promise<void> {
  const parameters = [tx.tenantId, now];
  const before = `$2::timestamptz - interval '${KEPT_DAYS} days'`;
  const isOver = (delivery: string): string => `${delivery}.tenant_id = $1 AND ${delivery}.state NOT IN ('waiting', 'sending') AND ${delivery}.changed_at < ${before}`;
  await tx.sql(`DELETE FROM webhook_attempt a USING webhook_delivery d WHERE a.tenant_id = $1 AND a.delivery_id = d.id AND ${isOver('d')}`, parameters);
  await tx.sql(`DELETE FROM webhook_delivery d WHERE ${isOver('d')} AND NOT EXISTS (SELECT FROM webhook_attempt a WHERE a.tenant_id = $1 AND a.delivery_id = d.id)`, parameters);
  await tx.sql(
    `DELETE FROM webhook_event e WHERE e.tenant_id = $1 AND e.happened_at < ${before} AND e.body IS NOT NULL
        AND NOT EXISTS (SELECT FROM webhook_delivery d WHERE d.tenant_id = $1 AND d.event_id = e.id)`,
    parameters,
  );
  await tx.sql(`DELETE FROM webhook_mail WHERE tenant_id = $1 AND changed_at < ${before}`, parameters);
  await tx.sql('DELETE FROM webhook_secret WHERE tenant_id = $1 AND ends_at < $2', parameters);
}
