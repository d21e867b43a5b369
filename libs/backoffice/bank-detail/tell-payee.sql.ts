import type { TenantTransaction } from '#database/tenant';
import { isPayeeOf } from '../agreement/payee.sql';
import { takenNext } from '../mail-attempt.sql';
import type { About } from './mail-words';

export const mails = { table: 'bank_detail_payee_mail', key: ['bank_detail_id', 'about', 'email'] } as const;

/** Whoever has got at the mails of a payee may change the address first and the account a while after. */
const ADDRESS_DAYS = 30;

/**
 * A mail to the payee, who may have no account here, at the address of now and at those that were replaced in the month before the account was entered or since: none of them is one
 * that only whoever entered the account knows. Who can sign in for one of the sites, or is an owner, is told with them.
 */
export async function askForPayeeMails(tx: TenantTransaction, asked: { readonly bankDetailId: string; readonly about: About; readonly now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO bank_detail_payee_mail (tenant_id, bank_detail_id, about, email, state, changed_at)
     SELECT DISTINCT ON (lower(known.email)) $1, d.id, $3, known.email, 'waiting', $4::timestamptz
       FROM bank_detail d JOIN party p ON p.tenant_id = $1 AND p.id = d.party_id
       CROSS JOIN LATERAL (
         SELECT p.email, $4::timestamptz AS until WHERE p.email IS NOT NULL
         UNION ALL SELECT c.old_email, c.happened_at FROM party_address_change c
          WHERE c.tenant_id = $1 AND c.party_id = p.id AND c.happened_at > d.proposed_at - interval '${ADDRESS_DAYS} days') known
      WHERE d.tenant_id = $1 AND d.id = $2
        AND NOT EXISTS (SELECT FROM identity.members() AS m WHERE lower(m.email) = lower(known.email)
              AND (m.role = 'owner' OR EXISTS (SELECT FROM agreement a WHERE a.tenant_id = $1 AND a.site_id = ANY (m.site_ids) AND ${isPayeeOf({ agreement: 'a', party: 'p.id' })})))
      ORDER BY lower(known.email), known.until DESC
     ON CONFLICT DO NOTHING`,
    [tx.tenantId, asked.bankDetailId, asked.about, asked.now],
  );
}

export type DueMail = {
  readonly bank_detail_id: string;
  readonly about: About;
  readonly email: string;
  /** Language and region of the payee. */
  readonly locale: string;
  readonly party_name: string;
  readonly country: string;
  readonly ending: string;
  readonly happened_at: Date;
};

/** Takes the next mail that is due, and writes that it is on its way before it is. */
export async function takePayeeMail(tx: TenantTransaction, now: Date): Promise<DueMail | undefined> {
  const { rows } = await tx.sql<DueMail>(
    `WITH ${takenNext(mails)}
     SELECT taken.*, p.locale, p.name AS party_name, d.country, d.ending, coalesce(e.happened_at, d.proposed_at) AS happened_at
       FROM taken JOIN bank_detail d ON d.tenant_id = $1 AND d.id = taken.bank_detail_id JOIN party p ON p.tenant_id = $1 AND p.id = d.party_id
       LEFT JOIN bank_detail_event e ON e.tenant_id = $1 AND e.bank_detail_id = d.id AND e.kind = taken.about`,
    [tx.tenantId, now],
  );
  return rows[0];
}
