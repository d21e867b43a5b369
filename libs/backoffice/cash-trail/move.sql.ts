import type { CashMove, ChangeFund, RecordCashMove, RecordStocktake } from '#contracts/cash-trail';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { onlyRow } from '../rows';

export type MoveRow = {
  id: string;
  kind: CashMove['kind'];
  moved_on: LocalDate;
  counted_on: LocalDate | null;
  currency: CurrencyCode;
  amount_minor: bigint;
  collector_id: string | null;
  collector_name: string | null;
  fund_id: string | null;
  fund_code: string | null;
  collection_id: string | null;
  /** Of what was filled out of boxes: whose box; null where nobody noted that. */
  out_of_machine_id: string | null;
  out_of_machine_tag: string | null;
  coin_minor: bigint | null;
  reference: string;
  taken_back: string | null;
  recorded_at: Date;
  recorded_by: string;
};

const moves = `
  SELECT m.id, m.kind, m.moved_on, m.counted_on, m.currency, m.amount_minor, m.collector_id, p.name AS collector_name, m.fund_id, f.code AS fund_code, m.collection_id, m.out_of_machine_id, box.tag AS out_of_machine_tag, m.coin_minor, m.reference,
         back.reason AS taken_back, m.recorded_at, m.recorded_by
    FROM cash_move m
    LEFT JOIN person p ON p.tenant_id = m.tenant_id AND p.id = m.collector_id
    LEFT JOIN change_fund f ON f.tenant_id = m.tenant_id AND f.id = m.fund_id
    LEFT JOIN machine box ON box.tenant_id = m.tenant_id AND box.id = m.out_of_machine_id
    LEFT JOIN cash_move back ON back.tenant_id = m.tenant_id AND back.takes_back_id = m.id
   WHERE m.tenant_id = $1 AND m.takes_back_id IS NULL`;

export async function selectMove(tx: TenantTransaction, id: string): Promise<MoveRow | null> {
  return (await tx.sql<MoveRow>(`${moves} AND m.id = $2`, [tx.tenantId, id])).rows[0] ?? null;
}

/** Moves of days, and what was handed in or paid in later of what was collected or counted on them. */
export async function selectMovesOfDays(tx: TenantTransaction, { from, to }: { readonly from: string; readonly to: string }): Promise<MoveRow[]> {
  const { rows } = await tx.sql<MoveRow>(`${moves} AND (m.moved_on BETWEEN $2 AND $3 OR m.counted_on BETWEEN $2 AND $3) ORDER BY m.moved_on, m.recorded_at, m.id`, [tx.tenantId, from, to]);
  return rows;
}

export async function insertMove(tx: TenantTransaction, move: Omit<RecordCashMove, 'amount' | 'id' | 'coin' | 'machineTag'> & { readonly outOfMachineId: string | null; readonly id: string; readonly currency: CurrencyCode; readonly amountMinor: bigint; readonly coinMinor: bigint | null; readonly now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO cash_move (tenant_id, id, kind, moved_on, counted_on, currency, amount_minor, collector_id, fund_id, collection_id, reference, coin_minor, out_of_machine_id, recorded_at, recorded_by)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)`,
    [
      tx.tenantId,
      move.id,
      move.kind,
      move.movedOn,
      move.kind === 'paid-in' || move.kind === 'handed-in' ? (move.countedOn ?? move.movedOn) : null,
      move.currency,
      move.amountMinor,
      move.collectorId ?? null,
      move.fundId ?? null,
      move.collectionId ?? null,
      move.reference ?? '',
      move.coinMinor,
      move.outOfMachineId,
      move.now,
      tx.actor,
    ],
  );
}

/** A row that takes another back, on the same day and over the same places. */
export async function insertTakenBack(tx: TenantTransaction, back: { readonly id: string; readonly moveId: string; readonly movedOn: string; readonly reason: string; readonly now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO cash_move (tenant_id, id, kind, moved_on, counted_on, currency, amount_minor, collector_id, fund_id, collection_id, reference, coin_minor, out_of_machine_id, takes_back_id, reason, recorded_at, recorded_by)
     SELECT tenant_id, $2, kind, $4, counted_on, currency, amount_minor, collector_id, fund_id, collection_id, reference, coin_minor, out_of_machine_id, id, $5, $6, $7
       FROM cash_move WHERE tenant_id = $1 AND id = $3`,
    [tx.tenantId, back.id, back.moveId, back.movedOn, back.reason, back.now, tx.actor],
  );
}

type Named = { readonly collectorId: string | null; readonly fundId: string | null; readonly collectionId: string | null };

/** Currency of the fund and of the collection that are named, and whether the person is one of the operator's; null where there is no such thing. */
export async function selectNamedPlaces(tx: TenantTransaction, named: Named): Promise<{ collector: boolean | null; fund_currency: CurrencyCode | null; collection_currency: CurrencyCode | null }> {
  const { rows } = await tx.sql<{ collector: boolean | null; fund_currency: CurrencyCode | null; collection_currency: CurrencyCode | null }>(
    `SELECT (SELECT p.employed_by = 'operator' FROM person p WHERE p.tenant_id = $1 AND p.id = $2) AS collector,
            (SELECT f.currency FROM change_fund f WHERE f.tenant_id = $1 AND f.id = $3) AS fund_currency,
            (SELECT c.currency FROM collection c WHERE c.tenant_id = $1 AND c.id = $4) AS collection_currency`,
    [tx.tenantId, named.collectorId, named.fundId, named.collectionId],
  );
  return onlyRow(rows);
}

/** Where a fund stands, and in which machine where it stands in one; null where there is no such fund. */
export async function selectFundPlace(tx: TenantTransaction, fundId: string): Promise<{ site_id: string; site_code: string; machine_id: string | null } | null> {
  const { rows } = await tx.sql<{ site_id: string; site_code: string; machine_id: string | null }>(
    'SELECT f.site_id, s.code AS site_code, f.machine_id FROM change_fund f JOIN site s ON s.tenant_id = $1 AND s.id = f.site_id WHERE f.tenant_id = $1 AND f.id = $2',
    [tx.tenantId, fundId],
  );
  return rows[0] ?? null;
}

/** A visit at which somebody counted at the machines and that is not in the books; `site_code` is null where one that is kept aside names no site. */
export type WaitingVisit = { readonly kept: boolean; readonly site_code: string | null; readonly local_date: LocalDate };

/** Visits of a collector up to a day whose cash they have, or handed in, while no book has it; the oldest first. */
export async function selectVisitsWaiting(tx: TenantTransaction, of: { readonly collectorId: string; readonly currency: CurrencyCode; readonly countedOn: LocalDate }): Promise<WaitingVisit[]> {
  const { rows } = await tx.sql<WaitingVisit>(
    `SELECT false AS kept, s.code AS site_code, c.local_date FROM collection c JOIN site s ON s.tenant_id = $1 AND s.id = c.site_id
      WHERE c.tenant_id = $1 AND c.collected_by = $2 AND c.currency = $3 AND c.local_date <= $4 AND c.state = 'counted'
        AND EXISTS (SELECT FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = c.id AND b.at_machine)
      UNION ALL
     SELECT true, s.code, made.on_day
       FROM phone_visit v JOIN operator o ON o.tenant_id = $1 JOIN collector_device d ON d.tenant_id = $1 AND d.id = v.device_id
       LEFT JOIN site s ON s.tenant_id = $1 AND s.id::text = lower(v.body ->> 'siteId')
      CROSS JOIN LATERAL (SELECT least((v.received_at AT TIME ZONE o.time_zone)::date,
              CASE WHEN pg_input_is_valid(v.body ->> 'happenedAt', 'timestamptz') THEN ((v.body ->> 'happenedAt')::timestamptz AT TIME ZONE coalesce(s.time_zone, o.time_zone))::date END) AS on_day) made
      WHERE v.tenant_id = $1 AND d.person_id = $2 AND v.outcome = 'quarantined' AND made.on_day <= $4 AND coalesce(s.currency, $3) = $3
        AND CASE WHEN jsonb_typeof(v.body -> 'counts') = 'array' THEN jsonb_array_length(v.body -> 'counts') > 0 ELSE false END
        -- What was counted and bagged is the room's to count.
        AND NOT CASE WHEN jsonb_typeof(v.body -> 'bags') = 'array' THEN jsonb_array_length(v.body -> 'bags') > 0 ELSE false END
        AND NOT EXISTS (SELECT FROM phone_visit_ruling r WHERE r.tenant_id = $1 AND r.visit_id = v.id)
      ORDER BY local_date, site_code`,
    [tx.tenantId, of.collectorId, of.currency, of.countedOn],
  );
  return rows;
}

/** The oldest visit up to a day of which the room counted boxes, and that is not in the books, and how many there are; null where there is none. */
export async function selectCountsWaiting(tx: TenantTransaction, of: { readonly currency: CurrencyCode; readonly countedOn: LocalDate }): Promise<{ site_code: string; local_date: LocalDate; visits: number } | null> {
  const { rows } = await tx.sql<{ site_code: string; local_date: LocalDate; visits: number }>(
    `SELECT s.code AS site_code, c.local_date, (count(*) OVER ())::int AS visits FROM collection c JOIN site s ON s.tenant_id = $1 AND s.id = c.site_id
      WHERE c.tenant_id = $1 AND c.state = 'counted' AND c.currency = $2 AND c.local_date <= $3
        AND EXISTS (SELECT FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = c.id AND NOT b.at_machine)
      ORDER BY c.local_date, s.code LIMIT 1`,
    [tx.tenantId, of.currency, of.countedOn],
  );
  return rows[0] ?? null;
}

/** Accounts of a person, as actors. */
export async function selectAccountsOf(tx: TenantTransaction, personId: string): Promise<string[]> {
  const { rows } = await tx.sql<{ actor: string }>(`SELECT 'user:' || m.account_id AS actor FROM identity.members() m WHERE m.person_id = $1`, [personId]);
  return rows.map(({ actor }) => actor);
}

/** Who recorded counts of a collection, or accepted it. */
export async function selectCounters(tx: TenantTransaction, collectionId: string): Promise<string[]> {
  const { rows } = await tx.sql<{ actor: string }>(
    `SELECT b.recorded_by AS actor FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = $2 AND b.part > 0
      UNION SELECT c.accepted_by FROM collection c WHERE c.tenant_id = $1 AND c.id = $2 AND c.accepted_by IS NOT NULL`,
    [tx.tenantId, collectionId],
  );
  return rows.map(({ actor }) => actor);
}

/** What the books say lies on an account at the end of a day. */
export async function selectBalance(tx: TenantTransaction, of: { readonly accountCode: string; readonly currency: CurrencyCode; readonly day: string }): Promise<bigint> {
  const { rows } = await tx.sql<{ minor: bigint }>(
    `SELECT coalesce(sum(p.amount_minor), 0)::bigint AS minor
       FROM journal_posting p JOIN journal_entry e ON e.tenant_id = $1 AND e.id = p.journal_entry_id
      WHERE p.tenant_id = $1 AND p.account_code = $2 AND p.currency = $3 AND e.accounting_date <= $4`,
    [tx.tenantId, of.accountCode, of.currency, of.day],
  );
  return onlyRow(rows).minor;
}

/** One stocktake or move of a place at a time: two would book the same difference, or one that is none. */
export async function lockPlace(tx: TenantTransaction, accountCode: string): Promise<void> {
  await tx.sql('SELECT pg_advisory_xact_lock(hashtextextended($1, 0))', [`cash-stocktake ${tx.tenantId} ${accountCode}`]);
}

/** The day of the latest stocktake of a place in a currency, whose account is kept for a fund, a collector, or (null) the counting room; null before the first. */
export async function latestStocktakeDay(tx: TenantTransaction, of: { readonly holderId: string | null; readonly currency: CurrencyCode }): Promise<LocalDate | null> {
  const { rows } = await tx.sql<{ day: LocalDate | null }>(
    'SELECT max(counted_on) AS day FROM cash_stocktake WHERE tenant_id = $1 AND coalesce(collector_id, fund_id) IS NOT DISTINCT FROM $2::uuid AND currency = $3',
    [tx.tenantId, of.holderId, of.currency],
  );
  return rows[0]?.day ?? null;
}

/** The day of the first stocktake of a place whose difference has a move in it: counted for the day of its entry or a later one, and recorded after it. */
export async function firstStocktakeOf(
  tx: TenantTransaction,
  of: { readonly holderId: string | null; readonly currency: CurrencyCode; readonly bookedOn: LocalDate; readonly recordedAt: Date },
): Promise<LocalDate | null> {
  const { rows } = await tx.sql<{ day: LocalDate | null }>(
    `SELECT min(counted_on) AS day FROM cash_stocktake
      WHERE tenant_id = $1 AND coalesce(collector_id, fund_id) IS NOT DISTINCT FROM $2::uuid AND currency = $3 AND counted_on >= $4 AND recorded_at >= $5`,
    [tx.tenantId, of.holderId, of.currency, of.bookedOn, of.recordedAt],
  );
  return rows[0]?.day ?? null;
}

export async function insertStocktake(
  tx: TenantTransaction,
  count: Omit<RecordStocktake, 'counted' | 'id'> & { readonly id: string; readonly currency: CurrencyCode; readonly countedMinor: bigint; readonly bookedMinor: bigint; readonly now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO cash_stocktake (tenant_id, id, place, collector_id, fund_id, currency, counted_on, counted_minor, booked_minor, reason, recorded_at, recorded_by)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)`,
    [tx.tenantId, count.id, count.place, count.collectorId ?? null, count.fundId ?? null, count.currency, count.countedOn, count.countedMinor, count.bookedMinor, count.reason, count.now, tx.actor],
  );
}

export type FundRow = { id: string; code: string; kind: ChangeFund['kind']; site_id: string; site_code: string; machine_tag: string | null; currency: CurrencyCode; balance_minor: bigint; counted_on: LocalDate | null };

export async function selectFunds(tx: TenantTransaction, id: string | null): Promise<FundRow[]> {
  const { rows } = await tx.sql<FundRow>(
    `SELECT f.id, f.code, f.kind, f.site_id, s.code AS site_code, m.tag AS machine_tag, f.currency,
            (SELECT coalesce(sum(p.amount_minor), 0) FROM journal_posting p WHERE p.tenant_id = $1 AND p.account_code = 'cash-in-float:' || f.id AND p.currency = f.currency)::bigint AS balance_minor,
            (SELECT max(t.counted_on) FROM cash_stocktake t WHERE t.tenant_id = $1 AND t.fund_id = f.id) AS counted_on
       FROM change_fund f
       JOIN site s ON s.tenant_id = $1 AND s.id = f.site_id
       LEFT JOIN machine m ON m.tenant_id = $1 AND m.id = f.machine_id
      WHERE f.tenant_id = $1 AND ($2::uuid IS NULL OR f.id = $2) ORDER BY s.code, f.code`,
    [tx.tenantId, id],
  );
  return rows;
}

/** False where the operator has no such site. A fund has the currency of its site. */
export async function insertFund(tx: TenantTransaction, fund: { readonly id: string; readonly code: string; readonly kind: string; readonly siteId: string; readonly machineId: string | null; readonly now: Date }): Promise<boolean> {
  const { rows } = await tx.sql(
    `INSERT INTO change_fund (tenant_id, id, code, kind, site_id, machine_id, currency, recorded_at, recorded_by)
     SELECT $1, $2, $3, $4, s.id, $6, s.currency, $7, $8 FROM site s WHERE s.tenant_id = $1 AND s.id = $5 RETURNING id`,
    [tx.tenantId, fund.id, fund.code, fund.kind, fund.siteId, fund.machineId, fund.now, tx.actor],
  );
  return rows.length === 1;
}
