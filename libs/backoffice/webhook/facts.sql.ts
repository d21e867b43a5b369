import type { WebhookBody } from '#contracts/webhook-event';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';

export type WaitingEvent = { readonly id: string; readonly type: WebhookBody['type']; readonly subject_id: string; readonly happened_at: Date };

/** Takes events whose bodies are not made yet, the oldest first; those that another worker is at are passed over. */
export async function takeEvents(tx: TenantTransaction, limit: number): Promise<WaitingEvent[]> {
  const { rows } = await tx.sql<WaitingEvent>(
    `SELECT id, type, subject_id, happened_at FROM webhook_event WHERE tenant_id = $1 AND body IS NULL
      ORDER BY happened_at, id LIMIT $2 FOR UPDATE SKIP LOCKED`,
    [tx.tenantId, limit],
  );
  return rows;
}

type OfEvent = { readonly event_id: string };
type AtSite = OfEvent & { readonly site_id: string; readonly site_code: string };

export type SettlementFact = AtSite & {
  readonly settlement_id: string;
  readonly number: string;
  readonly starts_on: LocalDate;
  readonly ends_before: LocalDate;
  readonly payable_minor: bigint;
  readonly currency: CurrencyCode;
  readonly reversal_id: string | null;
  readonly reversed_on: LocalDate | null;
  readonly payment_id: string | null;
};

export async function selectSettlements(tx: TenantTransaction, eventIds: readonly string[]): Promise<SettlementFact[]> {
  const { rows } = await tx.sql<SettlementFact>(
    `SELECT e.id AS event_id, s.id AS settlement_id, s.number, s.site_id, site.code AS site_code, s.starts_on, s.ends_before, s.payable_minor, s.currency,
            r.id AS reversal_id, r.accounting_date AS reversed_on, m.payment_id
       FROM webhook_event e
       JOIN settlement s ON s.tenant_id = $1 AND s.id = e.subject_id
       JOIN site ON site.tenant_id = $1 AND site.id = s.site_id
       LEFT JOIN settlement_reversal r ON r.tenant_id = $1 AND r.settlement_id = s.id
       LEFT JOIN payment_match m ON m.tenant_id = $1 AND m.id = e.cause_id
      WHERE e.tenant_id = $1 AND e.id = ANY ($2::uuid[])`,
    [tx.tenantId, eventIds],
  );
  return rows;
}

export type CollectionFact = AtSite & { readonly collection_id: string; readonly local_date: LocalDate; readonly accounting_date: LocalDate };

export async function selectCollections(tx: TenantTransaction, eventIds: readonly string[]): Promise<CollectionFact[]> {
  const { rows } = await tx.sql<CollectionFact>(
    `SELECT e.id AS event_id, c.id AS collection_id, c.site_id, site.code AS site_code, c.local_date, c.accounting_date
       FROM webhook_event e
       JOIN collection c ON c.tenant_id = $1 AND c.id = e.subject_id
       JOIN site ON site.tenant_id = $1 AND site.id = c.site_id
      WHERE e.tenant_id = $1 AND e.id = ANY ($2::uuid[])`,
    [tx.tenantId, eventIds],
  );
  return rows;
}

export type FlagFact = AtSite & { readonly flag_id: string; readonly collection_id: string; readonly machine_id: string; readonly machine_tag: string; readonly accounting_date: LocalDate };

export async function selectFlags(tx: TenantTransaction, eventIds: readonly string[]): Promise<FlagFact[]> {
  const { rows } = await tx.sql<FlagFact>(
    `SELECT e.id AS event_id, f.id AS flag_id, f.collection_id, f.site_id, site.code AS site_code, f.machine_id, machine.tag AS machine_tag, f.accounting_date
       FROM webhook_event e
       JOIN variance_flag f ON f.tenant_id = $1 AND f.id = e.subject_id
       JOIN site ON site.tenant_id = $1 AND site.id = f.site_id
       JOIN machine ON machine.tenant_id = $1 AND machine.id = f.machine_id
      WHERE e.tenant_id = $1 AND e.id = ANY ($2::uuid[])`,
    [tx.tenantId, eventIds],
  );
  return rows;
}

type KeyClass = 'access' | 'cash-box';
/** One row per copy of a report. */
export type MissingKeyFact = OfEvent & {
  readonly report_id: string;
  readonly happened_at: Date;
  readonly key_copy_id: string;
  readonly number: string;
  readonly code: string;
  readonly class: KeyClass;
  readonly key_case_id: string | null;
};

export async function selectMissingKeys(tx: TenantTransaction, eventIds: readonly string[]): Promise<MissingKeyFact[]> {
  const { rows } = await tx.sql<MissingKeyFact>(
    `SELECT e.id AS event_id, r.id AS report_id, r.happened_at, k.id AS key_copy_id, k.number, code.code, k.class, lost.key_case_id
       FROM webhook_event e
       JOIN custody_event r ON r.tenant_id = $1 AND r.id = e.subject_id
       JOIN custody_event_copy c ON c.tenant_id = $1 AND c.event_id = r.id
       JOIN key_copy k ON k.tenant_id = $1 AND k.id = c.key_copy_id
       JOIN key_code code ON code.tenant_id = $1 AND code.id = k.key_code_id
       LEFT JOIN key_case_copy lost ON lost.tenant_id = $1 AND lost.event_id = r.id AND lost.key_copy_id = k.id
      WHERE e.tenant_id = $1 AND e.id = ANY ($2::uuid[])
      ORDER BY e.id, k.number`,
    [tx.tenantId, eventIds],
  );
  return rows;
}

export type KeyCaseFact = OfEvent & { readonly key_case_id: string; readonly code: string; readonly class: KeyClass; readonly state: 'open' | 'closed' | 'ended' };

export async function selectKeyCases(tx: TenantTransaction, eventIds: readonly string[]): Promise<KeyCaseFact[]> {
  const { rows } = await tx.sql<KeyCaseFact>(
    `SELECT e.id AS event_id, k.id AS key_case_id, code.code, k.class, k.state
       FROM webhook_event e
       JOIN key_case k ON k.tenant_id = $1 AND k.id = e.subject_id
       JOIN key_code code ON code.tenant_id = $1 AND code.id = k.key_code_id
      WHERE e.tenant_id = $1 AND e.id = ANY ($2::uuid[])`,
    [tx.tenantId, eventIds],
  );
  return rows;
}

export type MadeBody = { readonly eventId: string; readonly body: string };

/**
 * Keeps the bodies, and one delivery of each per webhook that wanted its kind when it happened and is not removed since. What goes to one that
 * is off waits until somebody replays it.
 */
export async function insertDeliveries(tx: TenantTransaction, { bodies, now }: { readonly bodies: readonly MadeBody[]; readonly now: Date }): Promise<void> {
  const eventIds = bodies.map(({ eventId }) => eventId);
  await tx.sql(
    `UPDATE webhook_event e SET body = n.body FROM unnest($2::uuid[], $3::text[]) AS n (id, body)
      WHERE e.tenant_id = $1 AND e.id = n.id AND e.body IS NULL`,
    [tx.tenantId, eventIds, bodies.map(({ body }) => body)],
  );
  await tx.sql(
    `INSERT INTO webhook_delivery (tenant_id, id, event_id, webhook_id, state, due_at, changed_at)
     SELECT $1, uuidv7(), e.id, w.id, CASE w.state WHEN 'on' THEN 'waiting' ELSE 'held' END, CASE w.state WHEN 'on' THEN $3::timestamptz END, $3
       FROM webhook_event e JOIN webhook w ON w.tenant_id = $1 AND e.type = ANY (w.event_types) AND w.state <> 'removed' AND w.created_at <= e.happened_at
      WHERE e.tenant_id = $1 AND e.id = ANY ($2::uuid[])
      ORDER BY e.happened_at, e.id
     ON CONFLICT DO NOTHING`,
    [tx.tenantId, eventIds, now],
  );
}
