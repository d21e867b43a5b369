import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { writtenOffOf } from '../open-item/write-off.sql';
import { stands } from './standing.sql';

export type InTheWayRow = {
  /** The first later settlement of the agreement that stands. A draft is none: it is computed again before it is issued. */
  readonly later_starts_on: LocalDate | null;
  readonly later_number: string | null;
  readonly is_paid: boolean;
  readonly is_written_off: boolean;
  /** A payment run that holds it and whose file is made or with the bank. */
  readonly run_id: string | null;
  readonly run_execute_on: LocalDate | null;
};

/** What keeps a settlement from being reversed. The caller holds the locks of account and periods, so that it stays so. */
export async function readInTheWay(tx: TenantTransaction, settlement: { id: string; agreementId: string; startsOn: string }): Promise<InTheWayRow | undefined> {
  const { rows } = await tx.sql<InTheWayRow>(
    `SELECT later.starts_on AS later_starts_on, later.number AS later_number,
            EXISTS (SELECT FROM open_item i JOIN payment_match m ON m.tenant_id = i.tenant_id AND m.open_item_id = i.id
                     WHERE i.tenant_id = $1 AND i.settlement_id = $2 GROUP BY i.id HAVING sum(m.amount_minor) <> 0) AS is_paid,
            EXISTS (SELECT FROM open_item i WHERE i.tenant_id = $1 AND i.settlement_id = $2 AND ${writtenOffOf('i')} <> 0) AS is_written_off,
            run.id AS run_id, run.execute_on AS run_execute_on
       FROM (VALUES (1)) AS one
       LEFT JOIN LATERAL (
         SELECT x.starts_on, x.number FROM settlement x
          WHERE x.tenant_id = $1 AND x.agreement_id = $3 AND x.starts_on > $4 AND ${stands('x')}
          ORDER BY x.starts_on LIMIT 1) later ON true
       LEFT JOIN LATERAL (
         SELECT r.id, r.execute_on
           FROM open_item i
           JOIN payment_run_item p ON p.tenant_id = i.tenant_id AND p.open_item_id = i.id AND p.released_at IS NULL
           JOIN payment_run_transfer t ON t.tenant_id = p.tenant_id AND t.id = p.transfer_id
           JOIN payment_run r ON r.tenant_id = t.tenant_id AND r.id = t.run_id AND r.state IN ('file-made', 'sent')
          WHERE i.tenant_id = $1 AND i.settlement_id = $2 LIMIT 1) run ON true`,
    [tx.tenantId, settlement.id, settlement.agreementId, settlement.startsOn],
  );
  return rows[0];
}

/**
 * The first day on which the books can take a settlement back: that of the settlement, unless something rests on it longer. Money
 * was matched with what it left, or that was written off, until a later day; or a later settlement, which was computed from
 * it, was itself taken back only later.
 */
export async function readFirstFreeDay(tx: TenantTransaction, settlement: { id: string; agreementId: string; startsOn: string }): Promise<LocalDate> {
  const { rows } = await tx.sql<{ day: LocalDate }>(
    `SELECT greatest(x.accounting_date,
              (SELECT max(m.accounting_date) FROM open_item i JOIN payment_match m ON m.tenant_id = i.tenant_id AND m.open_item_id = i.id
                WHERE i.tenant_id = x.tenant_id AND i.settlement_id = x.id),
              (SELECT max(greatest(w.accounting_date, u.accounting_date))
                 FROM open_item i JOIN write_off w ON w.tenant_id = i.tenant_id AND w.open_item_id = i.id
                 LEFT JOIN write_off_undo u ON u.tenant_id = w.tenant_id AND u.write_off_id = w.id
                WHERE i.tenant_id = x.tenant_id AND i.settlement_id = x.id),
              (SELECT max(r.accounting_date) FROM settlement later JOIN settlement_reversal r ON r.tenant_id = later.tenant_id AND r.settlement_id = later.id
                WHERE later.tenant_id = x.tenant_id AND later.agreement_id = $3 AND later.starts_on > $4 AND r.accounting_date > later.accounting_date)) AS day
       FROM settlement x WHERE x.tenant_id = $1 AND x.id = $2`,
    [tx.tenantId, settlement.id, settlement.agreementId, settlement.startsOn],
  );
  const day = rows[0]?.day;
  if (day === undefined) throw new Error('a settlement that is being reversed is not there');
  return day;
}

/**
 * Takes the locks of the settlement's period and of every later one of its agreement, in the order in which a close takes
 * them: a draft that is being computed from what is about to be reversed is there before it is asked for.
 */
export async function lockPeriodsFrom(tx: TenantTransaction, first: { agreementId: string; startsOn: string }): Promise<void> {
  await tx.sql('SELECT FROM period WHERE tenant_id = $1 AND agreement_id = $2 AND starts_on >= $3 ORDER BY id FOR UPDATE', [tx.tenantId, first.agreementId, first.startsOn]);
}

export async function lockSettlement(tx: TenantTransaction, id: string): Promise<void> {
  await tx.sql('SELECT FROM settlement WHERE tenant_id = $1 AND id = $2 FOR UPDATE', [tx.tenantId, id]);
}

export async function insertReversal(
  tx: TenantTransaction,
  reversal: { id: string; settlementId: string; accountingDate: LocalDate; reason: string; now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO settlement_reversal (tenant_id, id, settlement_id, accounting_date, reason, recorded_at, recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7)`,
    [tx.tenantId, reversal.id, reversal.settlementId, reversal.accountingDate, reversal.reason, reversal.now, tx.actor],
  );
}
