import type { TenantTransaction } from '#database/tenant';
import { isDueAgain, isLost, type MailOutcome } from '../mail-attempt.sql';

/** A mail to each owner and bookkeeper. */
export async function askForMails(tx: TenantTransaction, asked: { readonly certificateId: string; readonly daysBefore: number; readonly now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO certificate_end_mail (tenant_id, certificate_id, days_before, account_id, state, changed_at)
     SELECT $1, $2, $3, m.account_id, 'waiting', $4 FROM identity.members() AS m WHERE m.role IN ('owner', 'bookkeeper') ON CONFLICT DO NOTHING`,
    [tx.tenantId, asked.certificateId, asked.daysBefore, asked.now],
  );
}

export type DueMail = {
  readonly certificate_id: string;
  readonly days_before: number;
  readonly account_id: string;
  /** Null where they are neither any more. */
  readonly email: string | null;
  readonly language: string | null;
  readonly fingerprint: Buffer;
  readonly valid_to: Date;
};

/** Takes the next mail that is due, and writes that it is on its way before it is. */
export async function takeMail(tx: TenantTransaction, now: Date): Promise<DueMail | undefined> {
  await tx.sql(`UPDATE certificate_end_mail m SET state = 'unclear', changed_at = $2 WHERE tenant_id = $1 AND ${isLost({ mail: 'm', moment: '$2' })}`, [tx.tenantId, now]);
  const { rows } = await tx.sql<DueMail>(
    `WITH due AS (
       SELECT certificate_id, days_before, account_id FROM certificate_end_mail m
        WHERE tenant_id = $1 AND (state = 'waiting' OR ${isDueAgain({ mail: 'm', moment: '$2' })})
        ORDER BY changed_at, certificate_id, account_id LIMIT 1 FOR UPDATE SKIP LOCKED),
     taken AS (
       UPDATE certificate_end_mail m SET state = 'sending', attempts = attempts + 1, changed_at = $2 FROM due
        WHERE m.tenant_id = $1 AND (m.certificate_id, m.days_before, m.account_id) = (due.certificate_id, due.days_before, due.account_id)
        RETURNING m.certificate_id, m.days_before, m.account_id)
     SELECT taken.*, member.email, member.language, c.fingerprint, c.valid_to
       FROM taken JOIN signing_certificate c ON c.tenant_id = $1 AND c.id = taken.certificate_id
       LEFT JOIN identity.members() AS member ON member.account_id = taken.account_id AND member.role IN ('owner', 'bookkeeper')`,
    [tx.tenantId, now],
  );
  return rows[0];
}

/** Only what is on its way gets an outcome. */
export async function noteMail(tx: TenantTransaction, { mail, state, now }: { readonly mail: DueMail; readonly state: MailOutcome | 'left-out'; readonly now: Date }): Promise<void> {
  await tx.sql(`UPDATE certificate_end_mail SET state = $5, changed_at = $6 WHERE tenant_id = $1 AND certificate_id = $2 AND days_before = $3 AND account_id = $4 AND state = 'sending'`, [
    tx.tenantId,
    mail.certificate_id,
    mail.days_before,
    mail.account_id,
    state,
    now,
  ]);
}
