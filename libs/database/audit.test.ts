import { randomUUID } from 'node:crypto';
import { onConnection } from '#tests/support/connection';
import { asTenant, createTenant, createTestDatabase, type TestDatabase } from '#tests/support/database';
import { constraintViolationOf } from './constraint';
import { readCatalogue } from './catalogue';
import { serverErrorOf, sqlStates } from './server-error';
import { withTenant, type TenantScope } from './tenant';

let db: TestDatabase;
let tenant: string;
beforeAll(async () => {
  db = await createTestDatabase();
  tenant = await createTenant(db);
});
afterAll(() => db.drop());

const user = randomUUID();
const asUser = (): TenantScope => ({ tenantId: tenant, kind: 'user', id: user, requestId: 'request-7' });

async function trailOf(rowId: string): Promise<unknown[]> {
  const { rows } = await asTenant(db, tenant, (tx) =>
    tx.sql('SELECT actor, request_id, table_name, action, before, after FROM audit_entry WHERE row_id = $1 ORDER BY id', [rowId]),
  );
  return rows;
}

const signed = { actor: `user:${user}`, request_id: 'request-7', table_name: 'tax_area' };
const wholeRow = (id: string) => ({ tenant_id: tenant, id, code: 'AREA', name: 'Old', country: 'US', revision: 1, created_at: '2026-01-02T00:00:00+00:00' });

describe('the audit trail', () => {
  it('says who inserted, changed and deleted a row by SQL: whole rows, then changed columns only', async () => {
    const id = randomUUID();
    await withTenant(db.database, asUser(), async (tx) => {
      await tx.sql(`INSERT INTO tax_area (tenant_id, id, code, name, country, created_at) VALUES ($1, $2, 'AREA', 'Old', 'US', '2026-01-02')`, [tenant, id]);
      await tx.sql(`UPDATE tax_area SET name = 'New', country = 'US' WHERE id = $1`, [id]);
    });
    // The application may not delete set-up; the trail would record it all the same.
    await onConnection(db.urls.owner, async (client) => {
      await client.query('BEGIN');
      await client.query(`SELECT set_config('app.tenant', $1, true), set_config('app.actor', 'system:repair', true)`, [tenant]);
      await client.query('DELETE FROM tax_area WHERE id = $1', [id]);
      await client.query('COMMIT');
    });
    expect(await trailOf(id)).toEqual([
      { ...signed, action: 'insert', before: null, after: wholeRow(id) },
      { ...signed, action: 'update', before: { name: 'Old', revision: 1 }, after: { name: 'New', revision: 2 } },
      { ...signed, actor: 'system:repair', request_id: null, action: 'delete', before: { ...wholeRow(id), name: 'New', revision: 2 }, after: null },
    ]);
  });

  it('says the same of what Prisma wrote', async () => {
    const id = randomUUID();
    await withTenant(db.database, asUser(), async (tx) => {
      await tx.prisma.taxArea.create({ data: { tenantId: tenant, id, code: 'AREA', name: 'Old', country: 'US', createdAt: new Date('2026-01-02') } });
      await tx.prisma.taxArea.update({ where: { tenantId_id: { tenantId: tenant, id } }, data: { name: 'New' } });
    });
    expect(await trailOf(id)).toEqual([
      { ...signed, action: 'insert', before: null, after: wholeRow(id) },
      { ...signed, action: 'update', before: { name: 'Old', revision: 1 }, after: { name: 'New', revision: 2 } },
    ]);
  });

  it('keeps no entry of what was rolled back, and none of an update that changed nothing', async () => {
    const id = randomUUID();
    const undone = withTenant(db.database, asUser(), async (tx) => {
      await tx.sql(`INSERT INTO operator_data_key (tenant_id, id, wrapped_key, master_key_id) VALUES ($1, $2, '\\x01', 'm')`, [tenant, id]);
      throw new Error('undone');
    });
    await expect(undone).rejects.toThrow('undone');
    expect(await trailOf(id)).toEqual([]);

    await withTenant(db.database, asUser(), async (tx) => {
      await tx.sql(`INSERT INTO operator_data_key (tenant_id, id, wrapped_key, master_key_id) VALUES ($1, $2, '\\x01', 'm')`, [tenant, id]);
      await tx.sql(`UPDATE operator_data_key SET master_key_id = 'm' WHERE id = $1`, [id]);
    });
    expect(await trailOf(id)).toHaveLength(1);
  });

  it('leaves out the values of columns that must not be in it, but says that they changed', async () => {
    const [{ id }] = (await asTenant(db, tenant, (tx) => tx.sql<{ id: string }>('SELECT id FROM operator_data_key'))).rows as [{ id: string }];
    await withTenant(db.database, asUser(), (tx) => tx.sql(`UPDATE operator_data_key SET wrapped_key = '\\x02' WHERE id = $1`, [id]));
    expect((await trailOf(id)).at(-1)).toMatchObject({ before: { wrapped_key: 'not recorded' }, after: { wrapped_key: 'not recorded' } });
    expect((await trailOf(id))[0]).toMatchObject({ after: { wrapped_key: 'not recorded', master_key_id: 'm' } });
  });

  it('names a row by its key when that is no single id', async () => {
    const rowsOf = (name: string) => asTenant(db, tenant, async (tx) => (await tx.sql('SELECT row_id FROM audit_entry WHERE table_name = $1', [name])).rows);
    expect(await rowsOf('operator')).toEqual([{ row_id: tenant }]);
  });

  it('refuses a change that nobody signs for', async () => {
    await onConnection(db.urls.app, async (client) => {
      await client.query('BEGIN');
      await client.query(`SELECT set_config('app.tenant', $1, true)`, [tenant]);
      await expect(client.query(`UPDATE operator SET name = 'Unsigned'`)).rejects.toThrow(/"actor" of relation "audit_entry" violates not-null/);
      await client.query('ROLLBACK');
    });
  });

  it('takes no entry that a trigger did not write', async () => {
    const forged = asTenant(db, tenant, (tx) =>
      tx.sql(`INSERT INTO audit_entry (tenant_id, actor, table_name, row_id, action, after) VALUES ($1, 'system:nobody', 'site', '1', 'insert', '{}')`, [tenant]),
    );
    await expect(forged).rejects.toMatchObject({ code: sqlStates.insufficientPrivilege });
  });
});

describe('what must not change', () => {
  const ownTables = async (): Promise<{ all: string[]; appendOnly: string[] }> => {
    const { tables } = await onConnection(db.urls.owner, readCatalogue);
    const tenantTables = Object.entries(tables).filter(([name]) => name.startsWith('public.') && name !== 'public._prisma_migrations');
    return { all: tenantTables.map(([name]) => name), appendOnly: tenantTables.filter(([, table]) => table.triggers['refuse_change'] !== undefined).map(([name]) => name) };
  };

  it('TRUNCATE is refused on every tenant table, even to the owner', async () => {
    const { all } = await ownTables();
    await onConnection(db.urls.owner, async (client) => {
      for (const name of all) {
        const error = await client.query(`TRUNCATE ${name} CASCADE`).catch((thrown: unknown) => thrown);
        expect({ name, code: serverErrorOf(error)?.code }).toEqual({ name, code: sqlStates.appendOnly });
      }
    });
  });

  it('UPDATE and DELETE are refused on append-only tables: to the owner by trigger, to the application by right', async () => {
    const { appendOnly } = await ownTables();
    expect(appendOnly).toEqual(expect.arrayContaining(['public.audit_entry', 'public.journal_posting', 'public.evidence_leaf', 'public.box_count']));
    const statements = appendOnly.flatMap((name) => [`UPDATE ${name} SET tenant_id = tenant_id`, `DELETE FROM ${name}`]);
    for (const [role, code] of [['owner', sqlStates.appendOnly], ['app', sqlStates.insufficientPrivilege]] as const) {
      await onConnection(db.urls[role], async (client) => {
        for (const statement of statements) {
          const error = await client.query(statement).catch((thrown: unknown) => thrown);
          expect({ statement, code: serverErrorOf(error)?.code }).toEqual({ statement, code });
        }
      });
    }
  });

  it('the refusal holds under session_replication_role = replica, in which other triggers sleep', async () => {
    await onConnection(db.urls.superuser, async (client) => {
      await client.query('SET session_replication_role = replica');
      const error = await client.query('DELETE FROM audit_entry').catch((thrown: unknown) => thrown);
      expect(constraintViolationOf(error)).toEqual({ kind: 'append-only', constraint: '', table: 'audit_entry' });
      await expect(client.query('TRUNCATE operator CASCADE')).rejects.toMatchObject({ code: sqlStates.appendOnly });
    });
  });
});

describe('app.for_each_tenant', () => {
  it('lets the owner change rows of every tenant, signed, and leaves no tenant set', async () => {
    const other = await createTenant(db);
    await onConnection(db.urls.owner, async (client) => {
      await client.query('BEGIN');
      await client.query(`CALL app.for_each_tenant('UPDATE operator SET paper = ''Letter''')`);
      const { rows } = await client.query(`SELECT app.current_tenant() AS tenant, app.current_actor() AS actor`);
      expect(rows).toEqual([{ tenant: null, actor: null }]);
      await client.query('COMMIT');
    });
    for (const id of [tenant, other]) {
      const { rows } = await asTenant(db, id, (tx) => tx.sql(`SELECT actor, after FROM audit_entry WHERE row_id = $1 AND action = 'update' ORDER BY id DESC LIMIT 1`, [id]));
      expect(rows).toEqual([{ actor: 'system:migration', after: { paper: 'Letter', revision: 2 } }]);
    }
  });
});
