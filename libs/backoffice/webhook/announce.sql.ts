import type { WebhookEventType } from '#contracts/webhook-event';
import { enqueue } from '#database/outbox';
import type { TenantTransaction } from '#database/tenant';
import { writtenOffOf } from '../open-item/write-off.sql';

/** Topic of the outbox by which the worker learns that there is something to be told. It carries nothing: what there is, the tables say. */
export const WEBHOOKS_DUE = 'webhook.due';

/** What it happened to and, where it can happen to it more than once, what made it happen. */
export type Told = { readonly subjectId: string; readonly causeId?: string };

/** Asked once per statement: most operators have no webhook, and what nobody wants to be told is not written down. */
const somebodyWants = 'EXISTS (SELECT FROM webhook w WHERE w.tenant_id = $1 AND w.state <> \'removed\' AND $2 = ANY (w.event_types))';

/**
 * Tells the operator's webhooks of something, as part of the transaction in which it happens: told if, and only if, that commits.
 * Repeated, it is told once.
 */
export async function announce(tx: TenantTransaction, news: { readonly type: WebhookEventType; readonly told: readonly Told[]; readonly now: Date }): Promise<void> {
  const { type, told, now } = news;
  if (told.length === 0) return;
  const { rowCount } = await tx.sql(
    `INSERT INTO webhook_event (tenant_id, id, type, subject_id, cause_id, happened_at)
     SELECT $1, uuidv7(), $2, n.subject_id, n.cause_id, $3 FROM unnest($4::uuid[], $5::uuid[]) AS n (subject_id, cause_id)
      WHERE ${somebodyWants} ON CONFLICT DO NOTHING`,
    [tx.tenantId, type, now, told.map(({ subjectId }) => subjectId), told.map(({ subjectId, causeId }) => causeId ?? subjectId)],
  );
  if (rowCount > 0) await enqueue(tx, WEBHOOKS_DUE, {});
}

/** Tells of settlements of which these matches leave nothing open. */
export async function announcePaid(tx: TenantTransaction, { matchIds, now }: { readonly matchIds: readonly string[]; readonly now: Date }): Promise<void> {
  const type: WebhookEventType = 'settlement.paid';
  const { rowCount } = await tx.sql(
    `INSERT INTO webhook_event (tenant_id, id, type, subject_id, cause_id, happened_at)
     SELECT $1, uuidv7(), $2, n.settlement_id, n.match_id, $3
       FROM (SELECT DISTINCT ON (i.settlement_id) i.settlement_id, m.id AS match_id
               FROM payment_match m JOIN open_item i ON i.tenant_id = $1 AND i.id = m.open_item_id
              WHERE m.tenant_id = $1 AND m.id = ANY ($4::uuid[]) ORDER BY i.settlement_id, m.id) n
      WHERE ${somebodyWants}
        AND NOT EXISTS (SELECT FROM open_item o WHERE o.tenant_id = $1 AND o.settlement_id = n.settlement_id
              AND coalesce((SELECT sum(p.amount_minor) FROM payment_match p WHERE p.tenant_id = $1 AND p.open_item_id = o.id), 0) + ${writtenOffOf('o')} <> o.amount_minor)
     ON CONFLICT DO NOTHING`,
    [tx.tenantId, type, now, matchIds],
  );
  if (rowCount > 0) await enqueue(tx, WEBHOOKS_DUE, {});
}
