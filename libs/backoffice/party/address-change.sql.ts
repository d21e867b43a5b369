import type { TenantTransaction } from '#database/tenant';
import { isDueAgain, isLost, type MailOutcome } from '../mail-attempt.sql';

/** Takes down that the mails of a payee go to another address, and has the one before told. */
export async function insertAddressChange(tx: TenantTransaction, change: { readonly id: string; readonly partyId: string; readonly oldEmail: string; readonly newEmail: string | null; readonly now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO party_address_change (tenant_id, id, party_id, old_email, new_email, happened_at, happened_by, state, changed_at)
     VALUES ($1, $2, $3, $4, $5, $6, $7, 'waiting', $6)`,
    [tx.tenantId, change.id, change.partyId, change.oldEmail, change.newEmail, change.now, tx.actor],
  );
}

export type DueMail = { readonly id: string; readonly old_email: string; readonly new_email: string | null; readonly happened_at: Date; readonly party_name: string; readonly locale: string };

/** Takes the next mail that is due, and writes that it is on its way before it is. */
export async function takeMail(tx: TenantTransaction, now: Date): Promise<DueMail | undefined> {
  await tx.sql(`UPDATE party_address_change m SET state = 'unclear', changed_at = $2 WHERE tenant_id = $1 AND ${isLost({ mail: 'm', moment: '$2' })}`, [tx.tenantId, now]);
  const { rows } = await tx.sql<DueMail>(
    `WITH due AS (
       SELECT id FROM party_address_change m
        WHERE tenant_id = $1 AND (state = 'waiting' OR ${isDueAgain({ mail: 'm', moment: '$2' })})
        ORDER BY changed_at, id LIMIT 1 FOR UPDATE SKIP LOCKED),
     taken AS (
       UPDATE party_address_change m SET state = 'sending', attempts = attempts + 1, changed_at = $2 FROM due
        WHERE m.tenant_id = $1 AND m.id = due.id RETURNING m.id, m.party_id, m.old_email, m.new_email, m.happened_at)
     SELECT taken.id, taken.old_email, taken.new_email, taken.happened_at, p.name AS party_name, p.locale
       FROM taken JOIN party p ON p.tenant_id = $1 AND p.id = taken.party_id`,
    [tx.tenantId, now],
  );
  return rows[0];
}

/** Only what is on its way gets an outcome. */
export async function noteMail(tx: TenantTransaction, { mail, state, now }: { readonly mail: DueMail; readonly state: MailOutcome | 'left-out'; readonly now: Date }): Promise<void> {
  await tx.sql(`UPDATE party_address_change SET state = $3, changed_at = $4 WHERE tenant_id = $1 AND id = $2 AND state = 'sending'`, [tx.tenantId, mail.id, state, now]);
}
