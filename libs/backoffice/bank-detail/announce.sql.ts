import type { TenantTransaction } from '#database/tenant';
import { isPayeeOf } from '../agreement/payee.sql';
import { isDueAgain, isLost, isTriedAgain, type MailOutcome } from '../mail-attempt.sql';
import type { About } from './mail-words';

export type UnannouncedRow = {
  readonly bank_detail_id: string;
  readonly about: About;
  readonly party_id: string | null;
  readonly party_name: string | null;
  readonly country: string;
  readonly ending: string;
  readonly happened_at: Date;
  readonly happened_by: string;
  /** Sites whose agreements name the payee. */
  readonly site_ids: readonly string[];
};

/** What happened to accounts and was not announced yet, the oldest first. */
export async function selectUnannounced(tx: TenantTransaction): Promise<UnannouncedRow[]> {
  const { rows } = await tx.sql<UnannouncedRow>(
    `SELECT x.*, d.party_id, p.name AS party_name, d.country, d.ending,
            ARRAY(SELECT DISTINCT a.site_id::text FROM agreement a WHERE a.tenant_id = $1 AND ${isPayeeOf({ agreement: 'a', party: 'd.party_id' })}) AS site_ids
       FROM (SELECT id AS bank_detail_id, 'proposed' AS about, proposed_at AS happened_at, proposed_by AS happened_by FROM bank_detail WHERE tenant_id = $1
             UNION ALL SELECT bank_detail_id, kind, happened_at, happened_by FROM bank_detail_event WHERE tenant_id = $1) x
       JOIN bank_detail d ON d.tenant_id = $1 AND d.id = x.bank_detail_id AND d.erased_at IS NULL
       LEFT JOIN party p ON p.tenant_id = $1 AND p.id = d.party_id
      WHERE NOT EXISTS (SELECT FROM bank_detail_notice n WHERE n.tenant_id = $1 AND n.bank_detail_id = x.bank_detail_id AND n.about = x.about)
      ORDER BY x.happened_at, x.bank_detail_id`,
    [tx.tenantId],
  );
  return rows;
}

export type ReceiverMail = { readonly bankDetailId: string; readonly about: About; readonly accountId: string };

/**
 * Takes the mail to one person, and writes that it is on its way, before it is: whoever dies then leaves it so. False where it is
 * not due: it went out, may have gone out, is on its way from another worker, or was refused and its pause, which doubles, is not over.
 */
export async function takeMail(tx: TenantTransaction, mail: ReceiverMail & { readonly now: Date }): Promise<boolean> {
  const { rowCount } = await tx.sql(
    `INSERT INTO bank_detail_mail AS m (tenant_id, bank_detail_id, about, account_id, state, attempts, changed_at) VALUES ($1, $2, $3, $4, 'sending', 1, $5)
     ON CONFLICT (tenant_id, bank_detail_id, about, account_id) DO UPDATE SET state = 'sending', attempts = m.attempts + 1, changed_at = $5
       WHERE ${isDueAgain({ mail: 'm', moment: '$5' })}`,
    [tx.tenantId, mail.bankDetailId, mail.about, mail.accountId, mail.now],
  );
  return rowCount > 0;
}

/** Only what is on its way gets an outcome. */
export async function noteOutcome(tx: TenantTransaction, mail: ReceiverMail & { readonly state: MailOutcome; readonly now: Date }): Promise<void> {
  await tx.sql(`UPDATE bank_detail_mail SET state = $5, changed_at = $6 WHERE tenant_id = $1 AND bank_detail_id = $2 AND about = $3 AND account_id = $4 AND state = 'sending'`, [
    tx.tenantId,
    mail.bankDetailId,
    mail.about,
    mail.accountId,
    mail.state,
    mail.now,
  ]);
}

/** How many mails about it went out, to these people and to the payee, and how many of them are on their way or will be tried again. */
export async function countMails(
  tx: TenantTransaction,
  asked: { readonly bankDetailId: string; readonly about: string; readonly accountIds: readonly string[]; readonly now: Date },
): Promise<{ readonly sent: number; readonly open: number }> {
  const { rows } = await tx.sql<{ sent: bigint; open: bigint }>(
    `SELECT count(*) FILTER (WHERE state = 'sent') AS sent,
            count(*) FILTER (WHERE (account_id IS NULL OR account_id = ANY ($4::uuid[]))
              AND (state = 'waiting' OR ${isTriedAgain({ mail: 'm' })} OR (state = 'sending' AND NOT ${isLost({ mail: 'm', moment: '$5' })}))) AS open
       FROM (SELECT account_id, state, attempts, changed_at FROM bank_detail_mail WHERE tenant_id = $1 AND bank_detail_id = $2 AND about = $3
             UNION ALL SELECT NULL, state, attempts, changed_at FROM bank_detail_payee_mail WHERE tenant_id = $1 AND bank_detail_id = $2 AND about = $3) m`,
    [tx.tenantId, asked.bankDetailId, asked.about, asked.accountIds, asked.now],
  );
  return { sent: Number(rows[0]?.sent ?? 0n), open: Number(rows[0]?.open ?? 0n) };
}

/** Two workers may have announced the same; one of them takes it down. */
export async function insertNotice(tx: TenantTransaction, notice: { bankDetailId: string; about: string; addresses: number; now: Date }): Promise<void> {
  await tx.sql('INSERT INTO bank_detail_notice (tenant_id, bank_detail_id, about, addresses, sent_at) VALUES ($1, $2, $3, $4, $5) ON CONFLICT DO NOTHING', [
    tx.tenantId,
    notice.bankDetailId,
    notice.about,
    notice.addresses,
    notice.now,
  ]);
}
