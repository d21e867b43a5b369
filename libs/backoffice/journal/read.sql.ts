import type { TenantTransaction } from '#database/tenant';

export type AccountBalance = {
  readonly code: string;
  readonly kind: string;
  readonly name: string;
  readonly currency: string;
  readonly balance_minor: bigint;
};

/** Balance of every account and currency at the end of a day, by name; debits positive. */
export async function readBalances(tx: TenantTransaction, on: string): Promise<AccountBalance[]> {
  const { rows } = await tx.sql<AccountBalance>(
    `SELECT a.code, a.kind, a.name, p.currency, sum(p.amount_minor)::bigint AS balance_minor
       FROM journal_entry e
       JOIN journal_posting p ON p.tenant_id = e.tenant_id AND p.journal_entry_id = e.id
       JOIN journal_account a ON a.tenant_id = p.tenant_id AND a.code = p.account_code
      WHERE e.tenant_id = $1 AND e.accounting_date <= $2
      GROUP BY a.code, a.kind, a.name, p.currency
      ORDER BY a.name, a.code, p.currency`,
    [tx.tenantId, on],
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

/** The next entries after one that was read, in order of day and id. */
export async function readEntries(
  tx: TenantTransaction,
  page: { range: EntryRange; after: { accountingDate: string; id: string } | null; limit: number },
): Promise<EntryRow[]> {
  const { range, after, limit } = page;
  const { rows } = await tx.sql<EntryRow>(
    `SELECT e.id, e.kind, e.source_id, e.accounting_date, s.number AS reference,
            p.currency, p.account_codes, p.account_names, p.amounts_minor
       FROM journal_entry e
       LEFT JOIN settlement s ON s.tenant_id = e.tenant_id AND s.id = e.source_id
       CROSS JOIN LATERAL (
         SELECT array_agg(a.code ORDER BY p.position) AS account_codes, array_agg(a.name ORDER BY p.position) AS account_names,
                min(p.currency) AS currency, array_agg(p.amount_minor ORDER BY p.position) AS amounts_minor
           FROM journal_posting p JOIN journal_account a ON a.tenant_id = p.tenant_id AND a.code = p.account_code
          WHERE p.tenant_id = e.tenant_id AND p.journal_entry_id = e.id) p
      WHERE e.tenant_id = $1 AND e.accounting_date BETWEEN $2 AND $3 AND e.recorded_at <= $4
        AND (e.accounting_date, e.id) > ($5::date, $6::uuid)
      ORDER BY e.accounting_date, e.id
      LIMIT $7`,
    [
      tx.tenantId,
      range.from,
      range.to,
      range.recordedUntil,
      after?.accountingDate ?? '0001-01-01',
      after?.id ?? '00000000-0000-0000-0000-000000000000',
      limit,
    ],
  );
  return rows;
}
