import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { isLost, takenNext } from '../mail-attempt.sql';
import { isReversed } from '../settlement/standing.sql';

export const mails = { table: 'statement_mail', key: ['settlement_id', 'receiver_id'] } as const;

/** What a row says at a moment: a mail that has been on its way for too long is unclear. $3 is the moment. */
const stateNow = `CASE WHEN ${isLost({ mail: 'm', moment: '$3' })} THEN 'unclear' ELSE m.state END`;

/** Standing statements of a run, as rows `x` with the site's code. $1 is the tenant, $2 the run. */
const ofRun = `FROM settlement x JOIN site ON site.tenant_id = x.tenant_id AND site.id = x.site_id
  WHERE x.tenant_id = $1 AND x.close_run_id = $2 AND x.state = 'issued' AND NOT ${isReversed('x')}`;

export async function isRun(tx: TenantTransaction, closeRunId: string): Promise<boolean> {
  return (await tx.sql('SELECT FROM close_run WHERE tenant_id = $1 AND id = $2', [tx.tenantId, closeRunId])).rowCount > 0;
}

/** Whose statement it is, as rows `p` beside rows `x`. $1 is the tenant. */
const payeeOf = 'JOIN agreement a ON a.tenant_id = $1 AND a.id = x.agreement_id JOIN party p ON p.tenant_id = $1 AND p.id = a.party_id';

/** Everybody who gets the statement of a row `x` of the payee `p`, as rows `r`: the payee, where they have an address, and every person of the site. */
const receiversOf = `CROSS JOIN LATERAL (
  SELECT p.id AS receiver_id, 'payee' AS receiver WHERE p.email IS NOT NULL
  UNION ALL SELECT member.account_id, 'member' FROM identity.members() AS member WHERE x.site_id = ANY (member.site_ids)) r`;

/**
 * SQL: whether a mail `m` that was left out is one that somebody still wants, of a standing statement `x` of the payee `p`: the payee had no address, or
 * whoever had left the site is back. Not the second copy to one address. $1 is the tenant.
 */
const isWanted = `(m.state = 'left-out' AND NOT ${isReversed('x')} AND (m.receiver = 'payee' OR EXISTS (
  SELECT FROM identity.members() AS member WHERE member.account_id = m.receiver_id AND x.site_id = ANY (member.site_ids)
     AND NOT (lower(member.email) IS NOT DISTINCT FROM lower(p.email)
       AND EXISTS (SELECT FROM statement_mail o WHERE o.tenant_id = $1 AND o.settlement_id = x.id AND o.receiver = 'payee')))))`;

/**
 * Writes a mail for everybody who gets the statement of each row `x`: the payee, where they have an address, and every person of the site.
 * Those that there are already stay as they are. $1 is the tenant, $3 the moment, $4 who asked.
 */
function mailsFor(statements: string): string {
  return `INSERT INTO statement_mail (tenant_id, settlement_id, receiver_id, receiver, state, asked_at, asked_by, changed_at)
    SELECT $1, x.id, r.receiver_id, r.receiver, 'waiting', $3, $4, $3
      FROM (${statements}) AS x ${payeeOf}
      ${receiversOf}
    ON CONFLICT DO NOTHING`;
}

/** For every standing statement of a run. */
export async function insertMails(tx: TenantTransaction, asked: { closeRunId: string; now: Date }): Promise<void> {
  await tx.sql(mailsFor(`SELECT x.id, x.site_id, x.agreement_id ${ofRun}`), [tx.tenantId, asked.closeRunId, asked.now, tx.actor]);
}

/** For statements that are being issued, where the operator has them sent at once. */
export async function insertMailsAtIssue(tx: TenantTransaction, issued: { settlementIds: readonly string[]; by: string; now: Date }): Promise<void> {
  const statements = `SELECT x.id, x.site_id, x.agreement_id FROM settlement x JOIN operator o ON o.tenant_id = x.tenant_id AND o.statement_mails = 'when-issued'
    WHERE x.tenant_id = $1 AND x.id = ANY ($2::uuid[])`;
  await tx.sql(mailsFor(statements), [tx.tenantId, issued.settlementIds, issued.now, issued.by]);
}

/** Lets go out again what was refused or is unclear, and what was left out for want of an address that is there by now. */
export async function askAgain(tx: TenantTransaction, asked: { closeRunId: string; now: Date }): Promise<void> {
  await tx.sql(
    `UPDATE statement_mail m SET state = 'waiting', attempts = 0, asked_at = $3, asked_by = $4, changed_at = $3
      WHERE m.tenant_id = $1 AND m.settlement_id IN (SELECT x.id ${ofRun})
        AND (${stateNow} IN ('refused', 'unclear')
          OR EXISTS (SELECT FROM settlement x ${payeeOf} WHERE x.tenant_id = $1 AND x.id = m.settlement_id AND ${isWanted} AND (m.receiver <> 'payee' OR p.email IS NOT NULL)))`,
    [tx.tenantId, asked.closeRunId, asked.now, tx.actor],
  );
}

/** How many mails would be written, were they asked for now: of people and addresses that came after the asking. */
export async function countUnasked(tx: TenantTransaction, run: { closeRunId: string }): Promise<number> {
  const { rows } = await tx.sql<{ unasked: bigint }>(
    `SELECT count(*) AS unasked FROM (SELECT x.id, x.site_id, x.agreement_id ${ofRun}) AS x ${payeeOf} ${receiversOf}
      WHERE NOT EXISTS (SELECT FROM statement_mail m WHERE m.tenant_id = $1 AND m.settlement_id = x.id AND m.receiver_id = r.receiver_id)`,
    [tx.tenantId, run.closeRunId],
  );
  return Number(rows[0]?.unasked ?? 0n);
}

export type TroubleRow = {
  readonly settlement_id: string;
  readonly number: string;
  readonly site_code: string;
  readonly receiver: 'member' | 'payee';
  readonly receiver_id: string;
  readonly state: 'refused' | 'unclear' | 'left-out';
  readonly attempts: number;
  readonly changed_at: Date;
};

/** By state; of those that were left out only the ones that somebody still wants. */
export async function countByState(tx: TenantTransaction, run: { closeRunId: string; now: Date }): Promise<ReadonlyMap<string, number>> {
  const { rows } = await tx.sql<{ state: string; mails: bigint }>(
    `SELECT ${stateNow} AS state, count(*) AS mails FROM statement_mail m JOIN settlement x ON x.tenant_id = m.tenant_id AND x.id = m.settlement_id ${payeeOf}
      WHERE m.tenant_id = $1 AND x.close_run_id = $2 AND (m.state <> 'left-out' OR ${isWanted}) GROUP BY 1`,
    [tx.tenantId, run.closeRunId, run.now],
  );
  return new Map(rows.map((row) => [row.state, Number(row.mails)]));
}

export async function readTroubles(tx: TenantTransaction, run: { closeRunId: string; now: Date; limit: number }): Promise<TroubleRow[]> {
  const { rows } = await tx.sql<TroubleRow>(
    `SELECT m.settlement_id, x.number, site.code AS site_code, m.receiver, m.receiver_id, ${stateNow} AS state, m.attempts, m.changed_at
       FROM statement_mail m JOIN settlement x ON x.tenant_id = m.tenant_id AND x.id = m.settlement_id
       JOIN site ON site.tenant_id = x.tenant_id AND site.id = x.site_id ${payeeOf}
      WHERE m.tenant_id = $1 AND x.close_run_id = $2 AND (${stateNow} IN ('refused', 'unclear') OR ${isWanted})
      ORDER BY x.number_year, x.number_serial, m.receiver_id LIMIT $4`,
    [tx.tenantId, run.closeRunId, run.now, run.limit],
  );
  return rows;
}

/** Codes of the sites of a run's standing statements that nobody gets: their payee has no address, and no member is bound to them. */
export async function sitesWithoutReceiver(tx: TenantTransaction, run: { closeRunId: string }): Promise<string[]> {
  const { rows } = await tx.sql<{ code: string }>(
    `SELECT DISTINCT x.code FROM (SELECT site.id, site.code, x.agreement_id ${ofRun}) AS x ${payeeOf}
      WHERE p.email IS NULL AND NOT EXISTS (SELECT FROM identity.members() AS member WHERE x.id = ANY (member.site_ids)) ORDER BY x.code`,
    [tx.tenantId, run.closeRunId],
  );
  return rows.map((row) => row.code);
}

export type DueMail = {
  readonly settlement_id: string;
  readonly receiver_id: string;
  readonly receiver: 'member' | 'payee';
  readonly email: string | null;
  /** Language and region of the payee, in which the statement is. */
  readonly locale: string;
  readonly number: string;
  readonly site_name: string;
  readonly starts_on: LocalDate;
  readonly ends_before: LocalDate;
  readonly stands: boolean;
};

/**
 * Takes one mail that is due, and writes that it is on its way, before it is: whoever dies then leaves it so. Refused ones are
 * due again after a pause that doubles. Without an address: the person is no member of the site any more, the payee has no
 * address any more, or the two have the same, at which one copy is enough.
 */
export async function takeDue(tx: TenantTransaction, now: Date): Promise<DueMail | undefined> {
  const { rows } = await tx.sql<DueMail>(
    `WITH ${takenNext(mails)}
     SELECT taken.*, m.receiver, x.number, site.name AS site_name, x.starts_on, x.ends_before, p.locale, NOT ${isReversed('x')} AS stands,
            CASE WHEN m.receiver = 'payee' THEN p.email
                 WHEN lower(member.email) = lower(p.email)
                  AND EXISTS (SELECT FROM statement_mail o WHERE o.tenant_id = $1 AND o.settlement_id = x.id AND o.receiver = 'payee') THEN NULL
                 ELSE member.email END AS email
       FROM taken JOIN statement_mail m ON m.tenant_id = $1 AND (m.settlement_id, m.receiver_id) = (taken.settlement_id, taken.receiver_id)
       JOIN settlement x ON x.tenant_id = $1 AND x.id = taken.settlement_id JOIN site ON site.tenant_id = $1 AND site.id = x.site_id ${payeeOf}
       LEFT JOIN identity.members() AS member ON member.account_id = taken.receiver_id AND x.site_id = ANY (member.site_ids)`,
    [tx.tenantId, now],
  );
  return rows[0];
}
