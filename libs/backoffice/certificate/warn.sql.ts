import type { TenantTransaction } from '#database/tenant';
import { takenNext } from '../mail-attempt.sql';

export const mails = { table: 'certificate_end_mail', key: ['certificate_id', 'days_before', 'account_id'] } as const;

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
  const { rows } = await tx.sql<DueMail>(
    `WITH ${takenNext(mails)}
     SELECT taken.*, member.email, member.language, c.fingerprint, c.valid_to
       FROM taken JOIN signing_certificate c ON c.tenant_id = $1 AND c.id = taken.certificate_id
       LEFT JOIN identity.members() AS member ON member.account_id = taken.account_id AND member.role IN ('owner', 'bookkeeper')`,
    [tx.tenantId, now],
  );
  return rows[0];
}
