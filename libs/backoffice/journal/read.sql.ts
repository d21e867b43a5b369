import type { TenantTransaction } from '#database/tenant';

/** Before and after every day and id of the books. */
const firstDay = '0001-01-01';
const lastDay = '9999-12-31';
const firstId = '00000000-0000-0000-0000-000000000000';

export type AccountBalance = {
  readonly code: string;
  readonly kind: string;
  readonly name: string;
  readonly currency: string;
  /** Balance before the first day asked for; zero when all days are. */
  readonly opening_minor: bigint;
  readonly debits_minor: bigint;
  readonly credits_minor: bigint;
  readonly balance_minor: bigint;
};

/** Balance of every account and currency at the end of a day, by name; debits positive. */
export async function readBalances(tx: TenantTransaction, days: { on: string; from: string | null }): Promise<AccountBalance[]> {
  const { rows } = await tx.sql<AccountBalance>(
    `SELECT a.code, a.kind, a.name, p.currency,
            coalesce(sum(p.amount_minor) FILTER (WHERE e.accounting_date < $3), 0)::bigint AS opening_minor,
            coalesce(sum(p.amount_minor) FILTER (WHERE p.amount_minor > 0 AND e.accounting_date >= $3), 0)::bigint AS debits_minor,
            coalesce(-sum(p.amount_minor) FILTER (WHERE p.amount_minor < 0 AND e.accounting_date >= $3), 0)::bigint AS credits_minor,
            sum(p.amount_minor)::bigint AS balance_minor
       FROM journal_entry e
       JOIN journal_posting p ON p.tenant_id = e.tenant_id AND p.journal_entry_id = e.id
       JOIN journal_account a ON a.tenant_id = p.tenant_id AND a.code = p.account_code
      WHERE e.tenant_id = $1 AND e.accounting_date <= $2
      GROUP BY a.code, a.kind, a.name, p.currency
      ORDER BY a.name, a.code, p.currency`,
    [tx.tenantId, days.on, days.from ?? firstDay],
  );
  return rows;
}

/** Days from the first to the last, both included; `recordedUntil` keeps what is written meanwhile out of a long export. */
export type EntryRange = { readonly from: string; readonly to: string; readonly recordedUntil: Date };

export type AccountRow = { readonly code: string; readonly kind: string; readonly name: string };

/** Every account, used or not in the days asked for: to declare one too many does no harm. */
export async function readAccounts(tx: TenantTransaction): Promise<AccountRow[]> {
  const { rows } = await tx.sql<AccountRow>('SELECT code, kind, name FROM journal_account WHERE tenant_id = $1 ORDER BY name, code', [tx.tenantId]);
  return rows;
}

export async function readUsedCurrencies(tx: TenantTransaction, range: EntryRange): Promise<string[]> {
  const { rows } = await tx.sql<{ currency: string }>(
    `SELECT DISTINCT p.currency
       FROM journal_entry e JOIN journal_posting p ON p.tenant_id = e.tenant_id AND p.journal_entry_id = e.id
      WHERE e.tenant_id = $1 AND e.accounting_date BETWEEN $2 AND $3 AND e.recorded_at <= $4
      ORDER BY p.currency`,
    [tx.tenantId, range.from, range.to, range.recordedUntil],
  );
  return rows.map((row) => row.currency);
}

export type EntryRow = {
  readonly id: string;
  readonly recorded_at: Date;
  readonly recorded_by: string;
  readonly kind: string;
  readonly source_id: string;
  readonly accounting_date: string;
  readonly currency: string;
  /** What people know the source by: a statement's number, or nothing. */
  readonly reference: string | null;
  readonly account_codes: readonly string[];
  readonly account_names: readonly string[];
  readonly amounts_minor: readonly bigint[];
};

export type EntryQuery = {
  readonly from: string | null;
  readonly to: string | null;
  readonly recordedUntil: Date | null;
  readonly sourceId: string | null;
};

/** The next entries after one that was read, in order of day and id. */
export async function readEntries(
  tx: TenantTransaction,
  page: { query: EntryQuery; after: { accountingDate: string; id: string } | null; limit: number },
): Promise<EntryRow[]> {
  const { query, after, limit } = page;
  const { rows } = await tx.sql<EntryRow>(
    `SELECT e.id, e.kind, e.source_id, e.accounting_date, e.recorded_at, e.recorded_by, coalesce(s.number, taken.number) AS reference,
            p.currency, p.account_codes, p.account_names, p.amounts_minor
       FROM journal_entry e
       LEFT JOIN settlement s ON s.tenant_id = e.tenant_id AND s.id = e.source_id
       LEFT JOIN settlement_reversal r ON r.tenant_id = e.tenant_id AND r.id = e.source_id
       LEFT JOIN settlement taken ON taken.tenant_id = r.tenant_id AND taken.id = r.settlement_id
       CROSS JOIN LATERAL (
         SELECT array_agg(a.code ORDER BY p.position) AS account_codes, array_agg(a.name ORDER BY p.position) AS account_names,
                min(p.currency) AS currency, array_agg(p.amount_minor ORDER BY p.position) AS amounts_minor
           FROM journal_posting p JOIN journal_account a ON a.tenant_id = p.tenant_id AND a.code = p.account_code
          WHERE p.tenant_id = e.tenant_id AND p.journal_entry_id = e.id) p
      WHERE e.tenant_id = $1 AND e.accounting_date >= $2 AND e.accounting_date <= $3
        AND ($4::timestamptz IS NULL OR e.recorded_at <= $4) AND ($5::uuid IS NULL OR e.source_id = $5)
        AND (e.accounting_date, e.id) > ($6::date, $7::uuid)
      ORDER BY e.accounting_date, e.id
      LIMIT $8`,
    [
      tx.tenantId,
      query.from ?? firstDay,
      query.to ?? lastDay,
      query.recordedUntil,
      query.sourceId,
      after?.accountingDate ?? firstDay,
      after?.id ?? firstId,
      limit,
    ],
  );
  return rows;
}

/** The next accounts after one that was read, in order of code; `chartCode` chooses one account of the chart. */
export async function readAccountPage(
  tx: TenantTransaction,
  page: { chartCode: string | null; after: string | null; limit: number },
): Promise<AccountRow[]> {
  const { rows } = await tx.sql<AccountRow>(
    `SELECT code, kind, name FROM journal_account
      WHERE tenant_id = $1 AND ($2::text IS NULL OR split_part(code, ':', 1) = $2) AND ($3::text IS NULL OR code > $3)
      ORDER BY code LIMIT $4`,
    [tx.tenantId, page.chartCode, page.after, page.limit],
  );
  return rows;
}
