import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { isLeftUnread } from '../meter/not-read.sql';
import type { DecimalMark } from './amount';
import type { CheckedLine, LineError } from './check-line';

export type SiteRow = { id: string; code: string; currency: CurrencyCode; time_zone: string; opened_on: LocalDate };
export type PlacementRow = { id: string; tag: string; machine_id: string; site_id: string | null; placed_on: LocalDate; removed_on: LocalDate | null };

export async function selectSites(tx: TenantTransaction): Promise<SiteRow[]> {
  return (await tx.sql<SiteRow>('SELECT id, code, currency, time_zone, opened_on FROM site')).rows;
}

/** Every machine, with one row per placement; a machine that was never placed has one row without. */
export async function selectMachines(tx: TenantTransaction): Promise<PlacementRow[]> {
  const { rows } = await tx.sql<PlacementRow>(
    `SELECT p.id, m.tag, m.id AS machine_id, p.site_id, p.placed_on, p.removed_on
       FROM machine m LEFT JOIN placement p ON p.tenant_id = m.tenant_id AND p.machine_id = m.id`,
  );
  return rows;
}

/** The operator's own people; site staff collect nothing. */
export async function selectOwnPeople(tx: TenantTransaction): Promise<{ id: string; code: string }[]> {
  return (await tx.sql<{ id: string; code: string }>(`SELECT id, code FROM person WHERE employed_by = 'operator'`)).rows;
}

/** The decimal mark of the operator's files, unless an upload says another. */
export async function operatorDecimalMark(tx: TenantTransaction): Promise<DecimalMark> {
  const { rows } = await tx.sql<{ csv_decimal: 'point' | 'comma' }>('SELECT csv_decimal FROM operator');
  return rows[0]?.csv_decimal === 'comma' ? ',' : '.';
}

/** One thing that is wrong with a file; `column` is empty where the line as a whole is meant. */
export type FileError = { readonly lineNumber: number; readonly column: string; readonly code: string; readonly value: string };

export type NewFile = {
  id: string;
  kind: 'collections' | 'keys';
  fileName: string;
  byteSize: number;
  sha256: Buffer;
  decimalMark: string;
  uploadedAt: Date;
};

export async function insertFile(tx: TenantTransaction, file: NewFile): Promise<void> {
  await tx.sql(
    `INSERT INTO import_file (tenant_id, id, kind, file_name, byte_size, sha256, state, delimiter, decimal_mark,
                              row_count, error_count, uploaded_by, uploaded_at)
     VALUES ($1, $2, $9, $3, $4, $5, 'staged', ',', $6, 0, 0, $7, $8)`,
    [tx.tenantId, file.id, file.fileName, file.byteSize, file.sha256, file.decimalMark, tx.actor, file.uploadedAt, file.kind],
  );
}

/**
 * The wall-clock time becomes an instant here, by the time zone data of the database. Lines of one site and one moment are
 * one visit: the id of its collection-to-be is a UUID version 8 (RFC 9562) made from file, site and moment, so that lines
 * that arrive in different batches agree on it without being read back.
 */
export async function insertRows(tx: TenantTransaction, fileId: string, lines: readonly CheckedLine[]): Promise<void> {
  const column = <Value>(value: (line: CheckedLine) => Value): Value[] => lines.map(value);
  await tx.sql(
    `INSERT INTO import_row (tenant_id, import_file_id, line_number, collection_id, site_id, placement_id, machine_id, currency, collected_at,
                             local_date, accounting_date, collected_by, part, removal, coin_minor, note_minor, refund_minor, handed_minor,
                             tokens, house_coin_minor, bad_coin_minor, metered_minor, readings)
     SELECT $1, $2::uuid, l.line_number,
            overlay(overlay(md5($2::uuid::text || l.site_id::text || extract(epoch FROM moment.at)) PLACING '8' FROM 13) PLACING 'a' FROM 17)::uuid,
            l.site_id, l.placement_id, l.machine_id, l.currency, moment.at, l.local_date, l.accounting_date,
            l.collected_by, l.part, l.removal, l.coin, l.note, l.refund, l.handed,
            l.tokens, l.house_coin, l.bad_coin, l.metered, l.readings
       FROM unnest($3::int[], $4::uuid[], $5::uuid[], $6::uuid[], $7::text[], $8::date[], $9::time[], $10::date[], $11::smallint[],
                   $12::boolean[], $13::bigint[], $14::bigint[], $15::bigint[], $16::bigint[], $17::uuid[], $18::jsonb[], $19::bigint[], $20::bigint[], $21::bigint[], $22::jsonb[])
         AS l (line_number, site_id, placement_id, machine_id, currency, local_date, local_time, accounting_date, part,
               removal, coin, note, refund, handed, collected_by, tokens, house_coin, bad_coin, metered, readings)
       JOIN site s ON s.tenant_id = $1 AND s.id = l.site_id
       CROSS JOIN LATERAL (SELECT (l.local_date + l.local_time) AT TIME ZONE s.time_zone AS at) moment`,
    [
      tx.tenantId,
      fileId,
      column((line) => line.lineNumber),
      column((line) => line.siteId),
      column((line) => line.placementId),
      column((line) => line.machineId),
      column((line) => line.currency),
      column((line) => line.collectedOn),
      column((line) => line.collectedAt),
      column((line) => line.accountingDate),
      column((line) => line.part),
      column((line) => line.removal),
      column((line) => line.coinMinor),
      column((line) => line.noteMinor),
      column((line) => line.refundMinor),
      column((line) => line.handedMinor),
      column((line) => line.collectedBy),
      column((line) => JSON.stringify(line.tokens)),
      column((line) => line.houseCoinMinor),
      column((line) => line.badCoinMinor),
      column((line) => line.meteredMinor),
      column((line) => JSON.stringify(line.readings)),
    ],
  );
}

/** Whether a board is in the machine of a line at its moment. */
const metered = (line: string): string =>
  `EXISTS (SELECT FROM counter_board k WHERE k.tenant_id = ${line}.tenant_id AND k.machine_id = ${line}.machine_id AND k.fitted_at <= ${line}.collected_at AND (k.removed_at IS NULL OR k.removed_at > ${line}.collected_at))`;

/** Whether a line counts the last box of a machine at a site, and neither the file nor the books have a reading of a meter that counts its cash: somebody has to say what it implies. Names the tenant `$1`. */
const leftUnread = (line: string): string =>
  isLeftUnread(
    { removal: `${line}.removal`, machine: `${line}.machine_id`, site: `${line}.site_id`, at: `${line}.collected_at`, day: `${line}.local_date`, timeZone: `(SELECT s.time_zone FROM site s WHERE s.tenant_id = $1 AND s.id = ${line}.site_id)` },
    `EXISTS (SELECT FROM import_row part WHERE part.tenant_id = $1 AND part.import_file_id = ${line}.import_file_id AND part.collection_id = ${line}.collection_id AND part.machine_id = ${line}.machine_id AND jsonb_exists(part.readings, m.label))`,
  );

/** The meter of that label on the board that is in the machine of a line at its moment. */
export const meterOf = (line: string, label: string): string =>
  `SELECT m.id, m.capacity FROM counter_board k JOIN meter m ON m.tenant_id = k.tenant_id AND m.board_id = k.id AND m.label = ${label}
    WHERE k.tenant_id = ${line}.tenant_id AND k.machine_id = ${line}.machine_id AND k.fitted_at <= ${line}.collected_at AND (k.removed_at IS NULL OR k.removed_at > ${line}.collected_at)`;

/** What one line alone cannot show: a machine twice in a visit, a visit booked to two dates, one that is known, one without terms. */
export async function selectErrorsAcrossLines(tx: TenantTransaction, fileId: string): Promise<LineError[]> {
  const { rows } = await tx.sql<LineError>(
    `WITH line AS (
       SELECT r.*, row_number() OVER (PARTITION BY site_id, collected_at, placement_id, part ORDER BY line_number) AS time_seen,
              first_value(accounting_date) OVER visit AS first_booked_to, first_value(collected_by) OVER visit AS first_collector,
              CASE WHEN removal THEN max(metered_minor) OVER box ELSE metered_minor END AS box_metered,
             sum(handed_minor) OVER upto AS handed_upto, sum(coin_minor + note_minor) OVER whole AS visit_counted
         FROM import_row r WHERE r.tenant_id = $1 AND r.import_file_id = $2
       WINDOW visit AS (PARTITION BY site_id, collected_at ORDER BY line_number), upto AS (visit ROWS UNBOUNDED PRECEDING), whole AS (PARTITION BY site_id, collected_at), box AS (PARTITION BY site_id, collected_at, placement_id)),
     day AS MATERIALIZED (SELECT DISTINCT tenant_id, site_id, accounting_date FROM line),
     -- The terms in force at a site on a day to which lines are booked: many lines share them.
     agreed AS MATERIALIZED (
       SELECT day.site_id, day.accounting_date, v.terms -> 'tokens' AS tokens, v.terms ->> 'basis' AS basis
         FROM day CROSS JOIN LATERAL (
           -- By the site's agreements: a join would look through the versions of all of them.
           SELECT v.terms FROM agreement a CROSS JOIN LATERAL (
               SELECT v.terms, v.effective_from FROM agreement_version v
                WHERE v.tenant_id = a.tenant_id AND v.agreement_id = a.id AND v.withdrawn_at IS NULL AND v.effective_from <= day.accounting_date
                ORDER BY v.effective_from DESC LIMIT 1) v
            WHERE a.tenant_id = day.tenant_id AND a.site_id = day.site_id AND daterange(a.started_on, a.ended_on, '[)') @> day.accounting_date
            ORDER BY v.effective_from DESC LIMIT 1) v)
     SELECT line_number AS "lineNumber", 'machine' AS "column", 'machine-twice' AS code, m.tag AS value
       FROM line JOIN machine m ON m.tenant_id = line.tenant_id AND m.id = line.machine_id WHERE time_seen > 1
     UNION ALL
     SELECT line_number, 'accounting_date', 'visit-booked-to-two-dates', accounting_date::text
       FROM line WHERE accounting_date <> first_booked_to
     UNION ALL
     SELECT line.line_number, 'collector', 'visit-by-two-collectors', coalesce(p.code, '')
       FROM line LEFT JOIN person p ON p.tenant_id = line.tenant_id AND p.id = line.collected_by WHERE line.collected_by IS DISTINCT FROM first_collector
     UNION ALL
     -- The line with which it becomes more than there was.
     SELECT line_number, 'handed_to_site', 'more-than-counted', '' FROM line WHERE handed_minor > 0 AND handed_upto > visit_counted AND handed_upto - handed_minor <= visit_counted
     UNION ALL
     SELECT line_number, 'collected_on', 'visit-known', local_date::text
       FROM line WHERE EXISTS (SELECT FROM collection c WHERE c.tenant_id = line.tenant_id AND c.site_id = line.site_id
                                AND c.happened_at = line.collected_at AND c.state <> 'discarded')
     UNION ALL
     SELECT line_number, 'collected_on', 'no-agreement', accounting_date::text
       FROM line WHERE NOT EXISTS (SELECT FROM agreed WHERE agreed.site_id = line.site_id AND agreed.accounting_date = line.accounting_date)
     UNION ALL
     SELECT line_number, 'tokens', 'unknown-token', token.id
       FROM line JOIN agreed USING (site_id, accounting_date) CROSS JOIN LATERAL jsonb_object_keys(line.tokens) AS token (id)
      WHERE NOT EXISTS (SELECT FROM jsonb_array_elements(agreed.tokens) AS known WHERE known ->> 'tokenId' = token.id)
     UNION ALL
     SELECT line_number, 'metered', 'metered-amount-missing', ''
       FROM line JOIN agreed USING (site_id, accounting_date) WHERE box_metered IS NULL AND agreed.basis = 'metered' AND (NOT ${metered('line')} OR ${leftUnread('line')})
     UNION ALL
     SELECT line_number, 'metered', 'meters-recorded', '' FROM line WHERE line.metered_minor IS NOT NULL AND ${metered('line')} AND NOT ${leftUnread('line')}
     UNION ALL
     SELECT line_number, 'readings', CASE WHEN id IS NULL THEN 'unknown-meter' WHEN value >= capacity THEN 'more-digits-than-meter' ELSE 'read-twice' END, label
       FROM (SELECT line.line_number, r.label, r.value::bigint AS value, m.id, m.capacity, row_number() OVER (PARTITION BY m.id, line.collected_at ORDER BY line.line_number) AS time_read,
                    EXISTS (SELECT FROM meter_reading known WHERE known.tenant_id = line.tenant_id AND known.meter_id = m.id AND known.happened_at = line.collected_at) AS known
               FROM line CROSS JOIN LATERAL jsonb_each_text(line.readings) AS r (label, value) LEFT JOIN LATERAL (${meterOf('line', 'r.label')}) m ON true) read
      WHERE id IS NULL OR value >= capacity OR time_read > 1 OR known
     ORDER BY 1, 2`,
    [tx.tenantId, fileId],
  );
  return rows;
}

export async function insertErrors(tx: TenantTransaction, fileId: string, errors: readonly FileError[]): Promise<void> {
  await tx.sql(
    `INSERT INTO import_error (tenant_id, import_file_id, position, line_number, column_name, code, value)
     SELECT $1, $2, e.position, e.line_number, e.column_name, e.code, e.value
       FROM unnest($3::int[], $4::int[], $5::text[], $6::text[], $7::text[]) AS e (position, line_number, column_name, code, value)`,
    [tx.tenantId, fileId, errors.map((_, index) => index + 1), errors.map((e) => e.lineNumber), errors.map((e) => e.column), errors.map((e) => e.code), errors.map((e) => e.value)],
  );
}

export type CheckedFile = {
  readonly id: string;
  readonly state: 'staged' | 'refused';
  readonly delimiter: string;
  readonly rowCount: number;
  readonly errorCount: number;
  readonly errorCounts: Readonly<Record<string, number>>;
};

export async function updateFile(tx: TenantTransaction, file: CheckedFile): Promise<void> {
  await tx.sql(
    `UPDATE import_file SET state = $2, delimiter = $3, row_count = $4, error_count = $5, error_counts = $6 WHERE id = $1`,
    [file.id, file.state, file.delimiter, file.rowCount, file.errorCount, JSON.stringify(file.errorCounts)],
  );
}

/** Nothing is written once a line was refused, but the server ends a transaction that says nothing for a minute. */
export async function keepAwake(tx: TenantTransaction): Promise<void> {
  await tx.sql('SELECT');
}

export async function deleteRows(tx: TenantTransaction, fileId: string): Promise<void> {
  await tx.sql('DELETE FROM import_row WHERE import_file_id = $1', [fileId]);
}
