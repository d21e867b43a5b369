import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { onlyRow } from '../rows';

export type NewAccount = { readonly code: string; readonly kind: string; readonly name: string };

/**
 * Which of these account codes have no row yet. Shares the journal's lock in the same statement, see `shareJournal`: a
 * posting must not hold a new account that others wait for while it waits for the journal to be closed.
 */
export async function shareJournalForAccounts(tx: TenantTransaction, codes: readonly string[]): Promise<string[]> {
  const { rows } = await tx.sql<{ missing: string[] }>(
    `SELECT app.share_journal($1),
            ARRAY(SELECT code FROM unnest($2::text[]) AS wanted (code)
                   WHERE NOT EXISTS (SELECT FROM journal_account a WHERE a.tenant_id = $1 AND a.code = wanted.code)) AS missing`,
    [tx.tenantId, codes],
  );
  return onlyRow(rows).missing;
}

/** The codes that people know the holders of accounts by. A holder may be of any of these kinds; ids are unique over them. */
export async function holderCodes(tx: TenantTransaction, ids: readonly string[]): Promise<ReadonlyMap<string, string>> {
  const { rows } = await tx.sql<{ id: string; code: string }>(
    `SELECT id, code FROM party WHERE tenant_id = $1 AND id = ANY ($2::uuid[])
     UNION ALL SELECT id, code FROM agreement WHERE tenant_id = $1 AND id = ANY ($2::uuid[])
     UNION ALL SELECT id, code FROM tax_area WHERE tenant_id = $1 AND id = ANY ($2::uuid[])
     UNION ALL SELECT id, code FROM person WHERE tenant_id = $1 AND id = ANY ($2::uuid[])
     UNION ALL SELECT id, code FROM site WHERE tenant_id = $1 AND id = ANY ($2::uuid[])
     UNION ALL SELECT id, code FROM change_fund WHERE tenant_id = $1 AND id = ANY ($2::uuid[])`,
    [tx.tenantId, ids],
  );
  return new Map(rows.map((row) => [row.id, row.code]));
}

/** The names of the holders of accounts, for who reads balances; an agreement goes by the name of its site. */
export async function holderNames(tx: TenantTransaction, ids: readonly string[]): Promise<ReadonlyMap<string, string>> {
  const { rows } = await tx.sql<{ id: string; name: string }>(
    `SELECT id::text AS id, name FROM party WHERE tenant_id = $1 AND id::text = ANY ($2::text[])
     UNION ALL SELECT a.id::text, s.name FROM agreement a JOIN site s ON s.tenant_id = $1 AND s.id = a.site_id WHERE a.tenant_id = $1 AND a.id::text = ANY ($2::text[])
     UNION ALL SELECT id::text, name FROM tax_area WHERE tenant_id = $1 AND id::text = ANY ($2::text[])
     UNION ALL SELECT id::text, name FROM person WHERE tenant_id = $1 AND id::text = ANY ($2::text[])
     UNION ALL SELECT id::text, name FROM site WHERE tenant_id = $1 AND id::text = ANY ($2::text[])`,
    [tx.tenantId, ids],
  );
  return new Map(rows.map((row) => [row.id, row.name]));
}

/** Two transactions may open the same account at once; the second finds it there. */
export async function insertAccounts(tx: TenantTransaction, accounts: readonly NewAccount[]): Promise<void> {
  await tx.sql(
    `INSERT INTO journal_account (tenant_id, code, kind, name)
     SELECT $1, code, kind, name FROM unnest($2::text[], $3::text[], $4::text[]) AS a (code, kind, name) ORDER BY code
     ON CONFLICT DO NOTHING`,
    [tx.tenantId, accounts.map((a) => a.code), accounts.map((a) => a.kind), accounts.map((a) => a.name)],
  );
}

export type PostedRow = {
  readonly id: string;
  readonly accounting_date: LocalDate;
  readonly currency: CurrencyCode;
  readonly account_code: string;
  readonly amount_minor: bigint;
};

/** The postings of one entry, in their order. */
export async function selectPosted(tx: TenantTransaction, entry: { kind: string; sourceId: string }): Promise<PostedRow[]> {
  const { rows } = await tx.sql<PostedRow>(
    `SELECT e.id, e.accounting_date, p.currency, p.account_code, p.amount_minor
       FROM journal_entry e JOIN journal_posting p ON p.tenant_id = e.tenant_id AND p.journal_entry_id = e.id
      WHERE e.tenant_id = $1 AND e.kind = $2 AND e.source_id = $3 ORDER BY p.position`,
    [tx.tenantId, entry.kind, entry.sourceId],
  );
  return rows;
}

export type NewEntry = { readonly id: string; readonly kind: string; readonly sourceId: string; readonly accountingDate: string };

export type NewPosting = {
  readonly entryId: string;
  readonly position: number;
  readonly accountCode: string;
  readonly currency: string;
  readonly amountMinor: bigint;
};

export async function insertEntries(
  tx: TenantTransaction,
  written: { entries: readonly NewEntry[]; postings: readonly NewPosting[]; recordedAt: Date },
): Promise<void> {
  const { entries, postings, recordedAt } = written;
  await tx.sql(
    `INSERT INTO journal_entry (tenant_id, id, kind, source_id, accounting_date, recorded_at, recorded_by)
     SELECT $1, id, kind, source_id, accounting_date, $2, $3
       FROM unnest($4::uuid[], $5::text[], $6::uuid[], $7::date[]) AS e (id, kind, source_id, accounting_date)`,
    [
      tx.tenantId,
      recordedAt,
      tx.actor,
      entries.map((e) => e.id),
      entries.map((e) => e.kind),
      entries.map((e) => e.sourceId),
      entries.map((e) => e.accountingDate),
    ],
  );
  await tx.sql(
    `INSERT INTO journal_posting (tenant_id, journal_entry_id, position, account_code, currency, amount_minor)
     SELECT $1, entry_id, position, account_code, currency, amount_minor
       FROM unnest($2::uuid[], $3::integer[], $4::text[], $5::text[], $6::bigint[]) AS p (entry_id, position, account_code, currency, amount_minor)`,
    [
      tx.tenantId,
      postings.map((p) => p.entryId),
      postings.map((p) => p.position),
      postings.map((p) => p.accountCode),
      postings.map((p) => p.currency),
      postings.map((p) => p.amountMinor),
    ],
  );
}
