import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { onlyRow } from '../rows';

export type PersonRow = {
  id: string;
  code: string;
  name: string;
  employed_by: 'operator' | 'site';
  site_id: string | null;
  email: string | null;
  started_on: LocalDate;
  left_on: LocalDate | null;
  erased_at: Date | null;
  revision: number;
};

const columns = 'id, code, name, employed_by, site_id, email, started_on, left_on, erased_at, revision';

export async function insertPerson(tx: TenantTransaction, person: Omit<PersonRow, 'left_on' | 'erased_at' | 'revision'> & { now: Date }): Promise<PersonRow> {
  const { rows } = await tx.sql<PersonRow>(
    `INSERT INTO person (tenant_id, id, code, name, employed_by, site_id, email, started_on, created_at)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9) RETURNING ${columns}`,
    [tx.tenantId, person.id, person.code, person.name, person.employed_by, person.site_id, person.email, person.started_on, person.now],
  );
  return onlyRow(rows);
}

export async function selectPerson(tx: TenantTransaction, id: string): Promise<PersonRow | null> {
  const { rows } = await tx.sql<PersonRow>(`SELECT ${columns} FROM person WHERE tenant_id = $1 AND id = $2`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function lockPerson(tx: TenantTransaction, id: string): Promise<PersonRow | null> {
  const { rows } = await tx.sql<PersonRow>(`SELECT ${columns} FROM person WHERE tenant_id = $1 AND id = $2 FOR NO KEY UPDATE`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

/** Somebody who stays as they are until the transaction ends: nobody is erased meanwhile. */
export async function sharePerson(tx: TenantTransaction, id: string): Promise<PersonRow | null> {
  const { rows } = await tx.sql<PersonRow>(`SELECT ${columns} FROM person WHERE tenant_id = $1 AND id = $2 FOR SHARE`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function isErasedPerson(tx: TenantTransaction, id: string): Promise<boolean> {
  const person = await sharePerson(tx, id);
  return person !== null && person.erased_at !== null;
}

export async function updatePerson(tx: TenantTransaction, person: PersonRow): Promise<PersonRow> {
  const { rows } = await tx.sql<PersonRow>(
    `UPDATE person SET code = $3, name = $4, email = $5, started_on = $6, left_on = $7, erased_at = $8
      WHERE tenant_id = $1 AND id = $2 RETURNING ${columns}`,
    [tx.tenantId, person.id, person.code, person.name, person.email, person.started_on, person.left_on, person.erased_at],
  );
  return onlyRow(rows);
}

export async function selectPeople(
  tx: TenantTransaction,
  list: { after: string | null; limit: number; pattern: string | null; employedBy: string | null; siteId: string | null; workingOn: string | null },
): Promise<PersonRow[]> {
  const { rows } = await tx.sql<PersonRow>(
    `SELECT ${columns} FROM person
      WHERE tenant_id = $1
        AND ($2::text IS NULL OR code > $2)
        AND ($3::text IS NULL OR code ILIKE $3 OR name ILIKE $3)
        AND ($4::text IS NULL OR employed_by = $4)
        AND ($5::uuid IS NULL OR site_id = $5)
        AND ($6::date IS NULL OR (started_on <= $6 AND coalesce(left_on, 'infinity') >= $6))
      ORDER BY code LIMIT $7`,
    [tx.tenantId, list.after, list.pattern, list.employedBy, list.siteId, list.workingOn, list.limit + 1],
  );
  return rows;
}

/** Whether an account of the operator is this person's. */
export async function hasAccount(tx: TenantTransaction, id: string): Promise<boolean> {
  return (await tx.sql('SELECT FROM identity.members() WHERE person_id = $1', [id])).rowCount > 0;
}

/** Numbers of the key copies that a person has now. */
export async function selectHeldNumbers(tx: TenantTransaction, id: string): Promise<string[]> {
  const { rows } = await tx.sql<{ number: string }>(
    `SELECT k.number FROM custody c JOIN key_copy k ON k.tenant_id = $1 AND k.id = c.key_copy_id
      WHERE c.tenant_id = $1 AND c.person_id = $2 AND c.held_to IS NULL AND c.known_to IS NULL ORDER BY k.number`,
    [tx.tenantId, id],
  );
  return rows.map((row) => row.number);
}
