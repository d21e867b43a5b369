import type { TenantTransaction } from '#database/tenant';
import { takenNext } from '../mail-attempt.sql';

export const mails = { table: 'party_address_change', key: ['id'] } as const;

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
  const { rows } = await tx.sql<DueMail>(
    `WITH ${takenNext(mails)}
     SELECT c.id, c.old_email, c.new_email, c.happened_at, p.name AS party_name, p.locale
       FROM taken JOIN party_address_change c ON c.tenant_id = $1 AND c.id = taken.id JOIN party p ON p.tenant_id = $1 AND p.id = c.party_id`,
    [tx.tenantId, now],
  );
  return rows[0];
}
