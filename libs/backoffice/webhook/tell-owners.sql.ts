import type { TenantTransaction } from '#database/tenant';
import { takenNext } from '../mail-attempt.sql';

export const mails = { table: 'webhook_mail', key: ['webhook_id', 'about', 'about_at', 'account_id'] } as const;

/** Once a day is enough to know that an address takes nothing. */
const QUIET_HOURS = 24;

/** A mail to each owner about a webhook, unless they were told the same of it lately. */
export async function askForMails(tx: TenantTransaction, asked: { readonly webhookId: string; readonly about: 'failed' | 'switched-off'; readonly now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO webhook_mail (tenant_id, webhook_id, about, about_at, account_id, state, changed_at)
     SELECT $1, $2, $3, $4, m.account_id, 'waiting', $4 FROM identity.members() AS m
      WHERE m.role = 'owner'
        AND NOT EXISTS (SELECT FROM webhook_mail o WHERE o.tenant_id = $1 AND o.webhook_id = $2 AND o.about = $3 AND o.about_at > $4::timestamptz - interval '${QUIET_HOURS} hours')
     ON CONFLICT DO NOTHING`,
    [tx.tenantId, asked.webhookId, asked.about, asked.now],
  );
}

export type DueMail = {
  readonly webhook_id: string;
  readonly about: 'failed' | 'switched-off';
  readonly about_at: Date;
  readonly account_id: string;
  /** Null where they are no owner any more. */
  readonly email: string | null;
  readonly language: string | null;
  readonly name: string;
  readonly url: string;
  readonly off_reason: 'switched-off' | 'failing' | 'gone' | null;
  /** Deliveries that were given up or held back. */
  readonly failed: number;
};

/** Takes the next mail that is due, and writes that it is on its way before it is. */
export async function takeMail(tx: TenantTransaction, now: Date): Promise<DueMail | undefined> {
  const { rows } = await tx.sql<DueMail>(
    `WITH ${takenNext(mails)}
     SELECT taken.*, member.email, member.language, w.name, w.url, w.off_reason,
            (SELECT count(*) FROM webhook_delivery d WHERE d.tenant_id = $1 AND d.webhook_id = w.id AND d.state IN ('failed', 'held'))::integer AS failed
       FROM taken JOIN webhook w ON w.tenant_id = $1 AND w.id = taken.webhook_id
       LEFT JOIN identity.members() AS member ON member.account_id = taken.account_id AND member.role = 'owner'`,
    [tx.tenantId, now],
  );
  return rows[0];
}
