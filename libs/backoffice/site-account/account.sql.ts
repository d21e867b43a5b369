import type { AccountLineKind } from '#contracts/site-account';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { openAt } from '../open-item/open-at.sql';

/** One payee under one agreement. */
export type PayeeRow = {
  readonly agreement_id: string;
  readonly agreement_code: string;
  readonly site_id: string;
  readonly party_id: string;
  readonly party_name: string;
  readonly currency: CurrencyCode;
  readonly time_zone: string;
};

/** Everybody who was ever a payee at the site, the latest agreement first and the site's owner before others. */
export async function readPayees(tx: TenantTransaction, wanted: { siteId: string; agreementId: string | null; partyId: string | null }): Promise<PayeeRow[]> {
  const { rows } = await tx.sql<PayeeRow>(
    `SELECT a.id AS agreement_id, a.code AS agreement_code, a.site_id, p.id AS party_id, p.name AS party_name, s.currency, s.time_zone
       FROM agreement a
       JOIN site s ON s.tenant_id = a.tenant_id AND s.id = a.site_id
       CROSS JOIN LATERAL (
         SELECT a.party_id AS id UNION SELECT o.party_id FROM agreement_party o WHERE o.tenant_id = a.tenant_id AND o.agreement_id = a.id) payee
       JOIN party p ON p.tenant_id = a.tenant_id AND p.id = payee.id
      WHERE a.tenant_id = $1 AND a.site_id = $2 AND ($3::uuid IS NULL OR a.id = $3) AND ($4::uuid IS NULL OR p.id = $4)
      ORDER BY a.started_on DESC, a.id, p.id <> a.party_id, p.name, p.id`,
    [tx.tenantId, wanted.siteId, wanted.agreementId, wanted.partyId],
  );
  return rows;
}

export type LineRow = {
  readonly accounting_date: LocalDate;
  readonly kind: AccountLineKind;
  readonly reference: string;
  readonly note: string;
  readonly settlement_id: string | null;
  readonly payment_id: string | null;
  /** The payment run that it was paid with. */
  readonly run_id: string | null;
  readonly run_execute_on: LocalDate | null;
  /** What it changes for the payee, above zero in its favour, on the account of each kind. */
  readonly payable_minor: bigint;
  readonly handed_minor: bigint;
  readonly advance_minor: bigint;
  /** What a settlement carried on; null for everything else, and when nothing was carried. */
  readonly carried_minor: bigint | null;
};

type AtDay = { readonly payee: PayeeRow; readonly on: LocalDate };

/** Records of the agreement that entries come from: kind of entry, id, and how people know it. A new one is a new branch. */
const sources = `
  SELECT 'settlement-issued' AS entry_kind, x.id AS source_id, 'settlement' AS kind, x.number AS reference, '' AS note, x.id AS settlement_id, NULL::uuid AS payment_id
    FROM settlement x WHERE x.tenant_id = $1 AND x.agreement_id = $2 AND x.number IS NOT NULL
  UNION ALL
  SELECT 'reversal', r.id, 'settlement-reversed', x.number, r.reason, x.id, NULL
    FROM settlement_reversal r JOIN settlement x ON x.tenant_id = r.tenant_id AND x.id = r.settlement_id
   WHERE r.tenant_id = $1 AND x.agreement_id = $2
  UNION ALL
  SELECT 'payment', y.id, 'payment', y.reference, '', NULL, y.id FROM payment y WHERE y.tenant_id = $1 AND y.agreement_id = $2
  UNION ALL
  SELECT 'payment-returned', r.id, 'payment-returned', y.reference, r.reason, NULL, y.id
    FROM payment_return r JOIN payment y ON y.tenant_id = r.tenant_id AND y.id = r.payment_id
   WHERE r.tenant_id = $1 AND y.agreement_id = $2
  UNION ALL
  SELECT 'payment-shifted', h.id, CASE WHEN (h.amount_minor > 0) = (y.amount_minor > 0) THEN 'put-on-account' ELSE 'taken-off-account' END, y.reference, coalesce(h.note, ''), NULL, y.id
    FROM payment_shift h JOIN payment y ON y.tenant_id = h.tenant_id AND y.id = h.payment_id
   WHERE h.tenant_id = $1 AND y.agreement_id = $2
  UNION ALL
  SELECT 'write-off', w.id, 'written-off', x.number, w.reason, x.id, NULL
    FROM write_off w JOIN open_item i ON i.tenant_id = w.tenant_id AND i.id = w.open_item_id JOIN settlement x ON x.tenant_id = i.tenant_id AND x.id = i.settlement_id
   WHERE w.tenant_id = $1 AND w.agreement_id = $2
  UNION ALL
  SELECT 'reversal', u.id, 'write-off-undone', x.number, u.reason, x.id, NULL
    FROM write_off_undo u
    JOIN write_off w ON w.tenant_id = u.tenant_id AND w.id = u.write_off_id
    JOIN open_item i ON i.tenant_id = w.tenant_id AND i.id = w.open_item_id
    JOIN settlement x ON x.tenant_id = i.tenant_id AND x.id = i.settlement_id
   WHERE u.tenant_id = $1 AND w.agreement_id = $2
  UNION ALL
  SELECT 'advance-paid', v.id, 'advance-given', v.document, v.reason, NULL::uuid, NULL::uuid FROM advance v WHERE v.tenant_id = $1 AND v.agreement_id = $2
  UNION ALL
  SELECT CASE d.kind WHEN 'paid-back' THEN 'advance-paid-back' WHEN 'undone' THEN 'reversal' ELSE 'write-off' END, d.id, 'advance-' || d.kind, d.document, d.reason, NULL, NULL
    FROM advance_reduction d WHERE d.tenant_id = $1 AND d.agreement_id = $2
  UNION ALL
  SELECT DISTINCT 'collection-accepted', h.collection_id, 'cash-handed', '', '', NULL::uuid, NULL::uuid FROM handed h WHERE h.replaces_id IS NULL
  UNION ALL
  SELECT 'collection-corrected', h.id, 'cash-handed-corrected', '', coalesce(h.reason, ''), NULL, NULL FROM handed h WHERE h.replaces_id IS NOT NULL`;

/** What of a settlement's result the payee was not left to be paid, because the next settlement takes it in. */
const carriedBy = (settlement: string): string => `
  (SELECT (payable ->> 'amountMinor')::bigint FROM jsonb_array_elements(${settlement}.result::jsonb -> 'payables') AS payable
    WHERE payable ->> 'party' = $3::text AND payable ->> 'outcome' = 'carried' AND payable ->> 'amountMinor' <> '0')`;

/** Every entry up to a day that moved one of the payee's accounts under the agreement, and its disputes; oldest first. */
export async function readLines(tx: TenantTransaction, { payee, on }: AtDay): Promise<LineRow[]> {
  const { rows } = await tx.sql<LineRow>(
    `WITH handed AS (
       SELECT h.id, h.collection_id, h.replaces_id, h.reason
         FROM collection c
         JOIN agreement a ON a.tenant_id = c.tenant_id AND a.id = $2 AND a.site_id = c.site_id AND daterange(a.started_on, a.ended_on, '[)') @> c.accounting_date
         JOIN cash_handed h ON h.tenant_id = c.tenant_id AND h.collection_id = c.id AND h.party_id = $3::uuid
        WHERE c.tenant_id = $1 AND c.state = 'accepted'),
     source AS (${sources}),
     entry AS (
       SELECT e.id, e.accounting_date, e.recorded_at, source.kind, source.reference, source.note, source.settlement_id, source.payment_id,
              coalesce(-sum(p.amount_minor) FILTER (WHERE p.account_code = $5), 0)::bigint AS payable_minor,
              coalesce(-sum(p.amount_minor) FILTER (WHERE p.account_code = $6), 0)::bigint AS handed_minor,
              coalesce(-sum(p.amount_minor) FILTER (WHERE p.account_code = $7), 0)::bigint AS advance_minor
         FROM source
         JOIN journal_entry e ON e.tenant_id = $1 AND e.kind = source.entry_kind AND e.source_id = source.source_id AND e.accounting_date <= $4
         JOIN journal_posting p ON p.tenant_id = e.tenant_id AND p.journal_entry_id = e.id AND p.account_code IN ($5, $6, $7)
        GROUP BY e.id, e.accounting_date, e.recorded_at, source.kind, source.reference, source.note, source.settlement_id, source.payment_id)
     SELECT l.accounting_date, l.kind, l.reference, l.note, l.settlement_id, l.payment_id, run.id AS run_id, run.execute_on AS run_execute_on, l.payable_minor, l.handed_minor, l.advance_minor,
            CASE WHEN l.kind = 'settlement' THEN ${carriedBy('x')} END AS carried_minor
       FROM (SELECT entry.* FROM entry
             UNION ALL
             SELECT v.open_item_id, (v.happened_at AT TIME ZONE $8)::date, v.happened_at, CASE v.kind WHEN 'held' THEN 'disputed' ELSE v.kind END, x.number, v.note,
                    i.settlement_id, NULL, 0, 0, 0
               FROM open_item i
               JOIN settlement x ON x.tenant_id = i.tenant_id AND x.id = i.settlement_id
               JOIN open_item_event v ON v.tenant_id = i.tenant_id AND v.open_item_id = i.id
              WHERE i.tenant_id = $1 AND i.agreement_id = $2 AND i.party_id = $3::uuid AND (v.happened_at AT TIME ZONE $8)::date <= $4) l
       LEFT JOIN settlement x ON x.tenant_id = $1 AND x.id = l.settlement_id
       LEFT JOIN payment_run_transfer t ON t.tenant_id = $1 AND t.payment_id = l.payment_id
       LEFT JOIN payment_run run ON run.tenant_id = $1 AND run.id = t.run_id
      ORDER BY l.accounting_date, l.recorded_at, l.id`,
    [
      tx.tenantId,
      payee.agreement_id,
      payee.party_id,
      on,
      `payable-to-payee:${payee.party_id}`,
      `cash-handed:${payee.party_id}`,
      `advance-to-payee:${payee.party_id}`,
      payee.time_zone,
    ],
  );
  return rows;
}

export type ItemAtDay = {
  readonly id: string;
  readonly settlement_id: string;
  readonly number: string;
  readonly dated_on: LocalDate;
  readonly open_minor: bigint;
  readonly held: boolean;
};

/** What was open at a day by the dates of the books, the oldest first. */
export async function readItemsAt(tx: TenantTransaction, { payee, on }: AtDay): Promise<ItemAtDay[]> {
  const { rows } = await tx.sql<ItemAtDay>(
    `SELECT o.id, o.settlement_id, x.number, o.dated_on, o.open_minor, coalesce(last.kind = 'held', false) AS held
       FROM (${openAt('$4')}) o
       JOIN settlement x ON x.tenant_id = $1 AND x.id = o.settlement_id
       LEFT JOIN LATERAL (
         SELECT v.kind FROM open_item_event v
          WHERE v.tenant_id = $1 AND v.open_item_id = o.id AND (v.happened_at AT TIME ZONE $5)::date <= $4 ORDER BY v.position DESC LIMIT 1) last ON true
      WHERE o.agreement_id = $2 AND o.party_id = $3
      ORDER BY o.dated_on, o.id`,
    [tx.tenantId, payee.agreement_id, payee.party_id, on, payee.time_zone],
  );
  return rows;
}

export type RestAtDay = { readonly unmatched_minor: bigint; readonly carried_minor: bigint };

/** At a day: what was paid and settled nothing, and what the last settlement that stood then carried on. */
export async function readRestAt(tx: TenantTransaction, { payee, on }: AtDay): Promise<RestAtDay> {
  const { rows } = await tx.sql<RestAtDay>(
    `SELECT (SELECT coalesce(sum(y.amount_minor - matched.minor - on_account.minor), 0)::bigint
               FROM payment y
               CROSS JOIN LATERAL (
                 SELECT coalesce(sum(m.amount_minor), 0)::bigint AS minor FROM payment_match m
                  WHERE m.tenant_id = y.tenant_id AND m.payment_id = y.id AND m.accounting_date <= $4) matched
               CROSS JOIN LATERAL (
                 SELECT CASE y.kind WHEN 'on-account' THEN y.amount_minor ELSE 0 END + coalesce(sum(h.amount_minor), 0)::bigint AS minor FROM payment_shift h
                  WHERE h.tenant_id = y.tenant_id AND h.payment_id = y.id AND h.accounting_date <= $4) on_account
              WHERE y.tenant_id = $1 AND y.agreement_id = $2 AND y.party_id = $3::uuid AND y.accounting_date <= $4
                AND NOT EXISTS (SELECT FROM payment_return r WHERE r.tenant_id = y.tenant_id AND r.payment_id = y.id AND r.accounting_date <= $4)) AS unmatched_minor,
            coalesce((SELECT ${carriedBy('x')} FROM settlement x
                       WHERE x.tenant_id = $1 AND x.agreement_id = $2 AND x.number IS NOT NULL AND x.accounting_date <= $4
                         AND NOT EXISTS (SELECT FROM settlement_reversal r WHERE r.tenant_id = x.tenant_id AND r.settlement_id = x.id AND r.accounting_date <= $4)
                       ORDER BY x.starts_on DESC, x.round DESC LIMIT 1), 0)::bigint AS carried_minor`,
    [tx.tenantId, payee.agreement_id, payee.party_id, on],
  );
  return rows[0] ?? { unmatched_minor: 0n, carried_minor: 0n };
}
