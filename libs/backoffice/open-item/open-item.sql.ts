import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { isReversed } from '../settlement/standing.sql';
import { writtenOffOf } from './write-off.sql';

export type NewOpenItem = {
  readonly id: string;
  readonly settlementId: string;
  readonly agreementId: string;
  readonly siteId: string;
  readonly partyId: string;
  readonly currency: string;
  readonly amountMinor: bigint;
  readonly datedOn: string;
};

export async function insertOpenItems(tx: TenantTransaction, items: readonly NewOpenItem[]): Promise<void> {
  if (items.length === 0) return;
  await tx.sql(
    `INSERT INTO open_item (tenant_id, id, settlement_id, agreement_id, site_id, party_id, currency, amount_minor, dated_on)
     SELECT $1, i.* FROM unnest($2::uuid[], $3::uuid[], $4::uuid[], $5::uuid[], $6::uuid[], $7::text[], $8::bigint[], $9::date[]) AS i`,
    [
      tx.tenantId,
      items.map((item) => item.id),
      items.map((item) => item.settlementId),
      items.map((item) => item.agreementId),
      items.map((item) => item.siteId),
      items.map((item) => item.partyId),
      items.map((item) => item.currency),
      items.map((item) => item.amountMinor),
      items.map((item) => item.datedOn),
    ],
  );
}

export type OpenItemRow = {
  readonly id: string;
  readonly settlement_id: string;
  readonly number: string;
  readonly agreement_id: string;
  readonly site_id: string;
  readonly site_code: string;
  readonly site_name: string;
  readonly party_id: string;
  readonly party_name: string;
  readonly starts_on: LocalDate;
  readonly dated_on: LocalDate;
  readonly currency: CurrencyCode;
  readonly amount_minor: bigint;
  /** What is matched with it now, of the sign of the amount. */
  readonly paid_minor: bigint;
  /** What stands written off, of the sign of the amount. */
  readonly written_off_minor: bigint;
  /** A payment of it came back once. */
  readonly came_back: boolean;
  readonly held: boolean;
  readonly reversed: boolean;
};

const items = `
  SELECT i.id, i.settlement_id, x.number, i.agreement_id, i.site_id, s.code AS site_code, s.name AS site_name, i.party_id, p.name AS party_name,
         x.starts_on, i.dated_on, i.currency, i.amount_minor, paid.minor AS paid_minor, ${writtenOffOf('i')} AS written_off_minor, paid.came_back,
         coalesce(last.kind = 'held', false) AS held, ${isReversed('x')} AS reversed
    FROM open_item i
    JOIN settlement x ON x.tenant_id = i.tenant_id AND x.id = i.settlement_id
    JOIN site s ON s.tenant_id = i.tenant_id AND s.id = i.site_id
    JOIN party p ON p.tenant_id = i.tenant_id AND p.id = i.party_id
    CROSS JOIN LATERAL (
      SELECT coalesce(sum(m.amount_minor), 0)::bigint AS minor, coalesce(bool_or(m.kind = 'returned'), false) AS came_back
        FROM payment_match m WHERE m.tenant_id = i.tenant_id AND m.open_item_id = i.id) paid
    LEFT JOIN LATERAL (
      SELECT e.kind FROM open_item_event e WHERE e.tenant_id = i.tenant_id AND e.open_item_id = i.id ORDER BY e.position DESC LIMIT 1) last ON true
   WHERE i.tenant_id = $1`;

export async function readOpenItem(tx: TenantTransaction, id: string): Promise<OpenItemRow | undefined> {
  const { rows } = await tx.sql<OpenItemRow>(`${items} AND i.id = $2`, [tx.tenantId, id]);
  return rows[0];
}

/** Every item of one payee under one agreement, settled ones included, the oldest first. */
export async function readAccountItems(tx: TenantTransaction, account: { agreementId: string; partyId: string }): Promise<OpenItemRow[]> {
  const { rows } = await tx.sql<OpenItemRow>(`${items} AND i.agreement_id = $2 AND i.party_id = $3 ORDER BY i.dated_on, i.id`, [
    tx.tenantId,
    account.agreementId,
    account.partyId,
  ]);
  return rows;
}

/** What these settlements left to be paid, one item of each payee. */
export async function readItemsOfSettlements(tx: TenantTransaction, settlementIds: readonly string[]): Promise<OpenItemRow[]> {
  const { rows } = await tx.sql<OpenItemRow>(`${items} AND i.settlement_id = ANY ($2::uuid[])`, [tx.tenantId, settlementIds]);
  return rows;
}

export type OpenItemFilter = {
  readonly sites: readonly string[] | null;
  readonly agreementId: string | null;
  readonly siteId: string | null;
  readonly partyId: string | null;
  readonly settlementId: string | null;
  readonly unpaid: boolean | null;
  readonly after: { readonly datedOn: string; readonly id: string } | null;
  readonly limit: number;
};

/** The oldest first. */
export async function listOpenItemRows(tx: TenantTransaction, filter: OpenItemFilter): Promise<OpenItemRow[]> {
  const { rows } = await tx.sql<OpenItemRow>(
    `${items}
        AND ($2::uuid[] IS NULL OR i.site_id = ANY ($2)) AND ($3::uuid IS NULL OR i.agreement_id = $3) AND ($4::uuid IS NULL OR i.site_id = $4)
        AND ($5::uuid IS NULL OR i.party_id = $5) AND ($6::uuid IS NULL OR i.settlement_id = $6)
        AND ($7::boolean IS NULL OR $7 = (paid.minor + ${writtenOffOf('i')} <> i.amount_minor AND NOT ${isReversed('x')}))
        AND ($8::date IS NULL OR (i.dated_on, i.id) > ($8, $9::uuid))
      ORDER BY i.dated_on, i.id LIMIT $10`,
    [
      tx.tenantId,
      filter.sites,
      filter.agreementId,
      filter.siteId,
      filter.partyId,
      filter.settlementId,
      filter.unpaid,
      filter.after?.datedOn ?? null,
      filter.after?.id ?? null,
      filter.limit,
    ],
  );
  return rows;
}

export type ItemEventRow = {
  readonly open_item_id: string;
  readonly position: number;
  readonly kind: 'held' | 'released';
  readonly note: string;
  readonly happened_at: Date;
  readonly happened_by: string;
};

export async function readItemEvents(tx: TenantTransaction, itemIds: readonly string[]): Promise<ItemEventRow[]> {
  const { rows } = await tx.sql<ItemEventRow>(
    `SELECT open_item_id, position, kind, note, happened_at, happened_by FROM open_item_event
      WHERE tenant_id = $1 AND open_item_id = ANY ($2::uuid[]) ORDER BY open_item_id, position`,
    [tx.tenantId, itemIds],
  );
  return rows;
}

export async function insertItemEvent(
  tx: TenantTransaction,
  event: { itemId: string; position: number; kind: 'held' | 'released'; note: string; now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO open_item_event (tenant_id, open_item_id, position, kind, note, happened_at, happened_by) VALUES ($1, $2, $3, $4, $5, $6, $7)`,
    [tx.tenantId, event.itemId, event.position, event.kind, event.note, event.now, tx.actor],
  );
}
