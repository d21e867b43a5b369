import type { TenantTransaction } from '#database/tenant';
import type { Role } from '#domain/permissions/role';

/** Calls of the identity schema's functions about the members of the transaction's tenant. */

export type MemberRow = {
  account_id: string;
  email: string;
  name: string;
  /** The one chosen for the console; null until one was. */
  language: string | null;
  role: Role;
  person_id: string | null;
  site_ids: string[];
  has_second_factor: boolean;
  revision: number;
  created_at: Date;
};

export async function selectMembers(tx: TenantTransaction): Promise<MemberRow[]> {
  return (await tx.sql<MemberRow>('SELECT * FROM identity.members() ORDER BY name, account_id')).rows;
}

export async function updateMember(
  tx: TenantTransaction,
  input: { accountId: string; expectedRevision: number; role: Role | null; personId: string | null; siteIds: readonly string[]; now: Date },
): Promise<'done' | 'unknown' | 'stale' | 'last-owner'> {
  const { rows } = await tx.sql<{ result: 'done' | 'unknown' | 'stale' | 'last-owner' }>(
    'SELECT identity.change_member($1, $2, $3, $4, $5, $6) AS result',
    [input.accountId, input.expectedRevision, input.role, input.personId, input.siteIds, input.now],
  );
  return rows[0]?.result ?? 'unknown';
}

/** Those of the given sites that exist at this operator. */
export async function selectKnownSites(tx: TenantTransaction, siteIds: readonly string[]): Promise<Set<string>> {
  const { rows } = await tx.sql<{ id: string }>('SELECT id FROM site WHERE id = ANY ($1)', [siteIds]);
  return new Set(rows.map((row) => row.id));
}

/** Whether somebody can be given an account: nobody whose data is erased comes back by one. Until the transaction ends, nobody is erased meanwhile. */
export async function isKnownPerson(tx: TenantTransaction, personId: string): Promise<boolean> {
  return (await tx.sql('SELECT FROM person WHERE id = $1 AND erased_at IS NULL FOR SHARE', [personId])).rowCount > 0;
}

export async function insertInvitation(
  tx: TenantTransaction,
  input: {
    linkId: string;
    secretHash: Buffer;
    email: string;
    role: Role;
    personId: string | null;
    siteIds: readonly string[];
    now: Date;
    until: Date;
  },
): Promise<void> {
  await tx.sql('SELECT identity.create_invitation($1, $2, $3, $4, $5, $6, $7, $8)', [
    input.linkId,
    input.secretHash,
    input.email,
    input.role,
    input.personId,
    input.siteIds,
    input.now,
    input.until,
  ]);
}

export async function insertPasswordLink(
  tx: TenantTransaction,
  input: { linkId: string; secretHash: Buffer; accountId: string; now: Date; until: Date },
): Promise<'done' | 'unknown' | 'shared'> {
  const { rows } = await tx.sql<{ result: 'done' | 'unknown' | 'shared' }>('SELECT identity.create_password_link($1, $2, $3, $4, $5) AS result', [
    input.linkId,
    input.secretHash,
    input.accountId,
    input.now,
    input.until,
  ]);
  return rows[0]?.result ?? 'unknown';
}

export type OpenLinkRow = {
  id: string;
  kind: 'invitation' | 'new-password';
  email: string;
  role: Role | null;
  created_by: string;
  created_at: Date;
  expires_at: Date;
};

export async function selectOpenLinks(tx: TenantTransaction, now: Date): Promise<OpenLinkRow[]> {
  const { rows } = await tx.sql<OpenLinkRow>(
    'SELECT id, kind, email, role, created_by, created_at, expires_at FROM identity.open_links($1) ORDER BY created_at, id',
    [now],
  );
  return rows;
}

/** Invitations that are open still and would make somebody a member as this person. */
export async function selectOpenInvitations(tx: TenantTransaction, query: { personId: string; now: Date }): Promise<{ id: string; email: string; expires_at: Date }[]> {
  const { rows } = await tx.sql<{ id: string; email: string; expires_at: Date }>(
    `SELECT id, email, expires_at FROM identity.open_links($1) WHERE kind = 'invitation' AND person_id = $2 ORDER BY created_at, id`,
    [query.now, query.personId],
  );
  return rows;
}

export async function withdrawOpenLink(tx: TenantTransaction, input: { linkId: string; now: Date }): Promise<boolean> {
  const { rows } = await tx.sql<{ done: boolean }>('SELECT identity.withdraw_link($1, $2) AS done', [input.linkId, input.now]);
  return rows[0]?.done === true;
}
