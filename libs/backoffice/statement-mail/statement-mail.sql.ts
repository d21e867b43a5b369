import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { isDueAgain, isLost, type MailOutcome } from '../mail-attempt.sql';
import { isReversed } from '../settlement/standing.sql';

/** What a row says at a moment: a mail that has been on its way for too long is unclear. $3 is the moment. */
const stateNow = `CASE WHEN ${isLost({ mail: 'm', moment: '$3' })} THEN 'unclear' ELSE m.state END`;

/** Standing statements of a run, as rows `x` with the site's code. $1 is the tenant, $2 the run. */
const ofRun = `FROM settlement x JOIN site ON site.tenant_id = x.tenant_id AND site.id = x.site_id
  WHERE x.tenant_id = $1 AND x.close_run_id = $2 AND x.state = 'issued' AND NOT ${isReversed('x')}`;

export async function isRun(tx: TenantTransaction, closeRunId: string): Promise<boolean> {
  return (await tx.sql('SELECT FROM close_run WHERE tenant_id = $1 AND id = $2', [tx.tenantId, closeRunId])).rowCount > 0;
}

/** A mail for every standing statement of a run and every person of its site; those that there are already stay as they are. */
export async function insertMails(tx: TenantTransaction, asked: { closeRunId: string; now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO statement_mail (tenant_id, settlement_id, account_id, state, asked_at, asked_by, changed_at)
     SELECT $1, x.id, member.account_id, 'waiting', $3, $4, $3
       FROM (SELECT x.id, x.site_id ${ofRun}) AS x JOIN identity.members() AS member ON x.site_id = ANY (member.site_ids)
     ON CONFLICT DO NOTHING`,
    [tx.tenantId, asked.closeRunId, asked.now, tx.actor],
  );
}

/** Lets go out again what was refused or is unclear. */
export async function askAgain(tx: TenantTransaction, asked: { closeRunId: string; now: Date }): Promise<void> {
  await tx.sql(
    `UPDATE statement_mail m SET state = 'waiting', attempts = 0, asked_at = $3, asked_by = $4, changed_at = $3
      WHERE m.tenant_id = $1 AND m.settlement_id IN (SELECT x.id ${ofRun}) AND ${stateNow} IN ('refused', 'unclear')`,
    [tx.tenantId, asked.closeRunId, asked.now, tx.actor],
  );
}

export type TroubleRow = {
  readonly settlement_id: string;
  readonly number: string;
  readonly site_code: string;
  readonly account_id: string;
  readonly state: string;
  readonly attempts: number;
  readonly changed_at: Date;
};

export async function countByState(tx: TenantTransaction, run: { closeRunId: string; now: Date }): Promise<ReadonlyMap<string, number>> {
  const { rows } = await tx.sql<{ state: string; mails: bigint }>(
    `SELECT ${stateNow} AS state, count(*) AS mails FROM statement_mail m JOIN settlement s ON s.tenant_id = m.tenant_id AND s.id = m.settlement_id
      WHERE m.tenant_id = $1 AND s.close_run_id = $2 GROUP BY 1`,
    [tx.tenantId, run.closeRunId, run.now],
  );
  return new Map(rows.map((row) => [row.state, Number(row.mails)]));
}

export async function readTroubles(tx: TenantTransaction, run: { closeRunId: string; now: Date; limit: number }): Promise<TroubleRow[]> {
  const { rows } = await tx.sql<TroubleRow>(
    `SELECT m.settlement_id, s.number, site.code AS site_code, m.account_id, ${stateNow} AS state, m.attempts, m.changed_at
       FROM statement_mail m JOIN settlement s ON s.tenant_id = m.tenant_id AND s.id = m.settlement_id
       JOIN site ON site.tenant_id = s.tenant_id AND site.id = s.site_id
      WHERE m.tenant_id = $1 AND s.close_run_id = $2 AND ${stateNow} IN ('refused', 'unclear')
      ORDER BY s.number_year, s.number_serial, m.account_id LIMIT $4`,
    [tx.tenantId, run.closeRunId, run.now, run.limit],
  );
  return rows;
}

/** Codes of the sites of a run's standing statements to which no member is bound. */
export async function sitesWithoutReceiver(tx: TenantTransaction, run: { closeRunId: string }): Promise<string[]> {
  const { rows } = await tx.sql<{ code: string }>(
    `SELECT DISTINCT x.code FROM (SELECT site.id, site.code ${ofRun}) AS x
      WHERE NOT EXISTS (SELECT FROM identity.members() AS member WHERE x.id = ANY (member.site_ids)) ORDER BY x.code`,
    [tx.tenantId, run.closeRunId],
  );
  return rows.map((row) => row.code);
}

export type DueMail = {
  readonly settlement_id: string;
  readonly account_id: string;
  readonly email: string | null;
  readonly number: string;
  readonly site_name: string;
  readonly starts_on: LocalDate;
  readonly ends_before: LocalDate;
  readonly stands: boolean;
};

/**
 * Takes one mail that is due, and writes that it is on its way, before it is: whoever dies then leaves it so. Refused ones are
 * due again after a pause that doubles. Without an address: the person is no member of the site any more.
 */
export async function takeDue(tx: TenantTransaction, now: Date): Promise<DueMail | undefined> {
  const { rows } = await tx.sql<DueMail>(
    `WITH due AS (
       SELECT settlement_id, account_id FROM statement_mail m
        WHERE tenant_id = $1 AND (state = 'waiting' OR ${isDueAgain({ mail: 'm', moment: '$2' })})
        ORDER BY changed_at, settlement_id, account_id LIMIT 1 FOR UPDATE SKIP LOCKED),
     taken AS (
       UPDATE statement_mail m SET state = 'sending', attempts = attempts + 1, changed_at = $2 FROM due
        WHERE m.tenant_id = $1 AND m.settlement_id = due.settlement_id AND m.account_id = due.account_id
        RETURNING m.settlement_id, m.account_id)
     SELECT taken.settlement_id, taken.account_id, member.email, s.number, site.name AS site_name, s.starts_on, s.ends_before, NOT ${isReversed('s')} AS stands
       FROM taken JOIN settlement s ON s.tenant_id = $1 AND s.id = taken.settlement_id JOIN site ON site.tenant_id = $1 AND site.id = s.site_id
       LEFT JOIN identity.members() AS member ON member.account_id = taken.account_id AND s.site_id = ANY (member.site_ids)`,
    [tx.tenantId, now],
  );
  return rows[0];
}

/** Only what is on its way gets an outcome. */
export async function noteOutcome(
  tx: TenantTransaction,
  mail: { settlementId: string; accountId: string; state: MailOutcome | 'left-out'; now: Date },
): Promise<void> {
  await tx.sql(`UPDATE statement_mail SET state = $4, changed_at = $5 WHERE tenant_id = $1 AND settlement_id = $2 AND account_id = $3 AND state = 'sending'`, [
    tx.tenantId,
    mail.settlementId,
    mail.accountId,
    mail.state,
    mail.now,
  ]);
}
