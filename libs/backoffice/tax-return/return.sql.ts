import type { FiledFigures, TaxReturnRecord } from '#contracts/tax-return';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { onlyRow } from '../rows';

export type ReturnRow = {
  id: string;
  tax_area_id: string;
  month: LocalDate;
  position: number;
  kind: TaxReturnRecord['kind'];
  currency: CurrencyCode;
  tax_minor: bigint;
  booked_minor: bigint;
  /** Of the return before, zero for the first. */
  tax_before_minor: bigint;
  booked_before_minor: bigint;
  digest: Buffer;
  filed_on: LocalDate;
  reference: string;
  note: string;
  recorded_at: Date;
  recorded_by: string;
};

const returns = `
  SELECT r.id, r.tax_area_id, r.month, r.position, r.kind, r.currency, r.tax_minor, r.booked_minor, r.digest, r.filed_on, r.reference, r.note,
         r.recorded_at, r.recorded_by, coalesce(b.tax_minor, 0) AS tax_before_minor, coalesce(b.booked_minor, 0) AS booked_before_minor
    FROM tax_return r
    LEFT JOIN tax_return b ON b.tenant_id = r.tenant_id AND b.tax_area_id = r.tax_area_id AND b.month = r.month AND b.position = r.position - 1
   WHERE r.tenant_id = $1 AND r.tax_area_id = $2`;

export type NewReturn = Pick<ReturnRow, 'id' | 'tax_area_id' | 'month' | 'position' | 'kind' | 'currency' | 'tax_minor' | 'booked_minor' | 'digest' | 'filed_on' | 'reference' | 'note'> & {
  readonly carried: Readonly<Record<string, string>>;
  readonly figures: FiledFigures;
};

export async function insertReturn(tx: TenantTransaction, filed: NewReturn, now: Date): Promise<ReturnRow> {
  await tx.sql(
    `INSERT INTO tax_return (tenant_id, id, tax_area_id, month, position, kind, currency, tax_minor, booked_minor, carried, figures, digest,
                             filed_on, reference, note, recorded_at, recorded_by)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17)`,
    [
      tx.tenantId, filed.id, filed.tax_area_id, filed.month, filed.position, filed.kind, filed.currency, filed.tax_minor, filed.booked_minor,
      JSON.stringify(filed.carried), JSON.stringify(filed.figures), filed.digest, filed.filed_on, filed.reference, filed.note, now, tx.actor,
    ],
  );
  const row = await selectReturn(tx, { areaId: filed.tax_area_id, id: filed.id });
  return onlyRow(row === null ? [] : [row]);
}

export async function selectReturn(tx: TenantTransaction, wanted: { areaId: string; id: string }): Promise<ReturnRow | null> {
  const { rows } = await tx.sql<ReturnRow>(`${returns} AND r.id = $3`, [tx.tenantId, wanted.areaId, wanted.id]);
  return rows[0] ?? null;
}

export async function selectFigures(tx: TenantTransaction, id: string): Promise<FiledFigures> {
  const { rows } = await tx.sql<{ figures: FiledFigures }>('SELECT figures FROM tax_return WHERE tenant_id = $1 AND id = $2', [tx.tenantId, id]);
  return onlyRow(rows).figures;
}

/** The last return of a month; null while none was filed. */
export async function selectLastReturn(tx: TenantTransaction, wanted: { areaId: string; month: LocalDate }): Promise<ReturnRow | null> {
  const { rows } = await tx.sql<ReturnRow>(`${returns} AND r.month = $3::date ORDER BY r.position DESC LIMIT 1`, [tx.tenantId, wanted.areaId, wanted.month]);
  return rows[0] ?? null;
}

/** Negative tax, by tax id, that the last return of the month before carried on. */
export async function selectCarried(tx: TenantTransaction, wanted: { areaId: string; month: LocalDate }): Promise<ReadonlyMap<string, bigint>> {
  const { rows } = await tx.sql<{ carried: Record<string, string> }>(
    `SELECT carried FROM tax_return WHERE tenant_id = $1 AND tax_area_id = $2 AND month = $3::date - interval '1 month' ORDER BY position DESC LIMIT 1`,
    [tx.tenantId, wanted.areaId, wanted.month],
  );
  return new Map(Object.entries(rows[0]?.carried ?? {}).map(([taxId, text]) => [taxId, BigInt(text)]));
}

export async function selectReturns(
  tx: TenantTransaction,
  list: { areaId: string; month: string | null; after: readonly [month: string, position: number] | null; limit: number },
): Promise<ReturnRow[]> {
  const [month, position] = list.after ?? [null, null];
  const { rows } = await tx.sql<ReturnRow>(
    `${returns} AND ($3::date IS NULL OR r.month = $3) AND ($4::date IS NULL OR (r.month, r.position) < ($4, $5::integer))
      ORDER BY r.month DESC, r.position DESC LIMIT $6`,
    [tx.tenantId, list.areaId, list.month, month, position, list.limit + 1],
  );
  return rows;
}
