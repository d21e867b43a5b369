import type { TenantTransaction } from '#database/tenant';
import { takenNext } from '../mail-attempt.sql';
import { chosenCertificateId } from './signing.sql';

export const mails = { table: 'certificate_mail', key: ['revocation_id', 'about', 'account_id'] } as const;

/** What is told: that a certificate was revoked, or that a second person stands for the earlier time. */
export type About = 'recorded' | 'confirmed';

/** A mail to each owner, whoever revoked it. */
export async function askForMails(tx: TenantTransaction, asked: { readonly revocationId: string; readonly about: About; readonly now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO certificate_mail (tenant_id, revocation_id, about, account_id, state, changed_at)
     SELECT $1, $2, $3, m.account_id, 'waiting', $4 FROM identity.members() AS m WHERE m.role = 'owner' ON CONFLICT DO NOTHING`,
    [tx.tenantId, asked.revocationId, asked.about, asked.now],
  );
}

export type DueMail = {
  readonly revocation_id: string;
  readonly about: About;
  readonly account_id: string;
  /** Null where they are no owner any more. */
  readonly email: string | null;
  readonly language: string | null;
  readonly fingerprint: Buffer;
  readonly revoked_from: Date;
  readonly reason: string;
  readonly recorded_at: Date;
  /** Name of who revoked it, or, where it is about that, confirmed it; null where it was no member. */
  readonly by_name: string | null;
  readonly by_actor: string;
  /** Statements signed under it before the time from which it is revoked, and since. */
  readonly before: number;
  readonly since: number;
  /** Whether it is the one in use, so that nothing is signed until another one is put to use. */
  readonly was_in_use: boolean;
};

/** Takes the next mail that is due, and writes that it is on its way before it is. */
export async function takeMail(tx: TenantTransaction, now: Date): Promise<DueMail | undefined> {
  const { rows } = await tx.sql<DueMail>(
    `WITH ${takenNext(mails)}
     SELECT taken.*, owner.email, owner.language, c.fingerprint, r.revoked_from, r.reason, r.recorded_at, acting.actor AS by_actor,
            (SELECT m.name FROM identity.members() AS m WHERE acting.actor = 'user:' || m.account_id) AS by_name, signed.before, signed.since,
            c.id IS NOT DISTINCT FROM (${chosenCertificateId('$2')}) AS was_in_use
       FROM taken JOIN signing_certificate_revocation r ON r.tenant_id = $1 AND r.id = taken.revocation_id
       JOIN signing_certificate c ON c.tenant_id = $1 AND c.id = r.certificate_id
       LEFT JOIN signing_certificate_revocation_confirmation f ON f.tenant_id = $1 AND f.revocation_id = r.id
       CROSS JOIN LATERAL (SELECT CASE taken.about WHEN 'confirmed' THEN f.confirmed_by ELSE r.recorded_by END AS actor) acting
       CROSS JOIN LATERAL (
         SELECT count(*) FILTER (WHERE s.stored_at < r.revoked_from)::integer AS before, count(*) FILTER (WHERE s.stored_at >= r.revoked_from)::integer AS since
           FROM statement s WHERE s.tenant_id = $1 AND s.certificate_id = c.id) signed
       LEFT JOIN identity.members() AS owner ON owner.account_id = taken.account_id AND owner.role = 'owner'`,
    [tx.tenantId, now],
  );
  return rows[0];
}
