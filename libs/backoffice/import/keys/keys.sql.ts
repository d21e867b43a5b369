import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { KeyLine } from './read-line';

type Named = { kind: 'code' | 'store' | 'person' | 'place' | 'machine' | 'copy'; code: string; id: string; class: 'access' | 'cash-box' | null; at_site: boolean; outside_copies: boolean };

/** What the codes of a file name in the books. */
export async function selectNamed(tx: TenantTransaction, codes: { keyCodes: readonly string[]; stores: readonly string[]; holders: readonly string[]; machines: readonly string[]; copies: readonly string[] }): Promise<Named[]> {
  const { rows } = await tx.sql<Named>(
    `SELECT 'code' AS kind, code, id, class, false AS at_site, outside_copies FROM key_code WHERE tenant_id = $1 AND code = ANY ($2::text[])
      UNION ALL SELECT 'store', code, id, NULL, false, false FROM key_store WHERE tenant_id = $1 AND code = ANY ($3::text[])
      UNION ALL SELECT 'person', code, id, NULL, employed_by = 'site', false FROM person WHERE tenant_id = $1 AND code = ANY ($4::text[])
      UNION ALL SELECT 'place', code, id, NULL, true, false FROM key_place WHERE tenant_id = $1 AND code = ANY ($4::text[])
      UNION ALL SELECT 'machine', tag, id, NULL, false, false FROM machine WHERE tenant_id = $1 AND tag = ANY ($5::text[])
      UNION ALL SELECT 'copy', number, id, class, false, false FROM key_copy WHERE tenant_id = $1 AND number = ANY ($6::text[])`,
    [tx.tenantId, codes.keyCodes, codes.stores, codes.holders, codes.machines, codes.copies],
  );
  return rows;
}

/** Noon of days at the operator's office, as instants; not later than now, for a day is known and no hour. */
export async function selectNoons(tx: TenantTransaction, { days, now }: { days: readonly LocalDate[]; now: Date }): Promise<Map<LocalDate, Date>> {
  const { rows } = await tx.sql<{ day: LocalDate; noon: Date }>(
    `SELECT day, CASE WHEN day = ($3::timestamptz AT TIME ZONE o.time_zone)::date THEN least((day + time '12:00') AT TIME ZONE o.time_zone, $3) ELSE (day + time '12:00') AT TIME ZONE o.time_zone END AS noon
       FROM unnest($2::date[]) AS day, operator o WHERE o.tenant_id = $1`,
    [tx.tenantId, [...new Set(days)], now],
  );
  return new Map(rows.map(({ day, noon }) => [day, noon]));
}

export async function insertKeyCodes(tx: TenantTransaction, made: { codes: readonly { id: string; code: string; class: string; outsideCopies: boolean }[]; now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO key_code (tenant_id, id, code, class, outside_copies, created_at)
     SELECT $1, id, code, class, outside_copies, $2 FROM unnest($3::uuid[], $4::text[], $5::text[], $6::boolean[]) AS new (id, code, class, outside_copies)`,
    [tx.tenantId, made.now, made.codes.map(({ id }) => id), made.codes.map(({ code }) => code), made.codes.map((each) => each.class), made.codes.map(({ outsideCopies }) => outsideCopies)],
  );
}

export async function insertKeyRows(tx: TenantTransaction, file: { id: string; lines: readonly KeyLine[] }): Promise<void> {
  await tx.sql(
    `INSERT INTO import_key_row (tenant_id, import_file_id, line_number, line) SELECT $1, $2, (line ->> 'lineNumber')::int, line FROM unnest($3::jsonb[]) AS line`,
    [tx.tenantId, file.id, file.lines.map((line) => JSON.stringify(line))],
  );
}

/** Lines that were checked when the file was taken in, in its order. */
export async function selectKeyRows(tx: TenantTransaction, fileId: string): Promise<KeyLine[]> {
  const { rows } = await tx.sql<{ line: KeyLine }>('SELECT line FROM import_key_row WHERE tenant_id = $1 AND import_file_id = $2 ORDER BY line_number', [tx.tenantId, fileId]);
  return rows.map(({ line }) => line);
}
