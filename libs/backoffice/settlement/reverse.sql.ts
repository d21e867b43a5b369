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
};

/** What keeps a settlement from being reversed. The caller holds the locks of account and periods, so that it stays so. */
export async function readInTheWay(tx: TenantTransaction, settlement: { id: string; agreementId: string; startsOn: string }): Promise<InTheWayRow | undefined> {
  const { rows } = await tx.sql<InTheWayRow>(
    `SELECT later.starts_on AS later_starts_on, later.number AS later_number,
            EXISTS (SELECT FROM open_item i JOIN payment_match m ON m.tenant_id = i.tenant_id AND m.open_item_id = i.id
                     WHERE i.tenant_id = $1 AND i.settlement_id = $2 GROUP BY i.id HAVING sum(m.amount_minor) <> 0) AS is_paid,
            EXISTS (SELECT FROM open_item i WHERE i.tenant_id = $1 AND i.settlement_id = $2 AND ${writtenOffOf('i')} <> 0) AS is_written_off
       FROM (VALUES (1)) AS one
       LEFT JOIN LATERAL (
         SELECT x.starts_on, x.number FROM settlement x
          WHERE x.tenant_id = $1 AND x.agreement_id = $3 AND x.starts_on > $4 AND ${stands('x')}
          ORDER BY x.starts_on LIMIT 1) later ON true`,
    [tx.tenantId, settlement.id, settlement.agreementId, settlement.startsOn],
  );
  return rows[0];
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
