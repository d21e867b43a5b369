import { randomUUID } from 'node:crypto';
import { setTimeout as pause } from 'node:timers/promises';
import { onConnection } from '#tests/support/connection';
import { asTenant, createTenant, createTestDatabase, type TestDatabase } from '#tests/support/database';
import { readCatalogue } from './catalogue';
import { rowSecurityRefusalOf } from './rls-error';
import { closeDatabase, connectionCounts, createDatabase, listTenantIds, pingDatabase, rolledBack, withTenant, withoutTenant } from './tenant';

let db: TestDatabase;
let tenant: string;
let other: string;
beforeAll(async () => {
  db = await createTestDatabase({ poolSize: 10 });
  tenant = await createTenant(db);
  other = await createTenant(db);
});
afterAll(() => db.drop());

const nameOf = (tenantId: string): Promise<unknown> =>
  asTenant(db, tenantId, async (tx) => (await tx.sql('SELECT name FROM operator')).rows[0]?.['name']);

const addTaxArea = { country: 'US', createdAt: new Date('2026-01-02T00:00:00Z') };

describe('row security', () => {
  it('shows no row of any table when no tenant is set', async () => {
    const { tables } = await onConnection(db.urls.owner, readCatalogue);
    const names = Object.keys(tables).filter((name) => name.startsWith('public.') && name !== 'public._prisma_migrations');
    expect(names.length).toBeGreaterThan(4);
    await onConnection(db.urls.app, async (client) => {
      for (const name of names) {
        const { rows } = await client.query<{ count: string }>(`SELECT count(*) FROM ${name}`);
        expect({ name, count: rows[0]?.count }).toEqual({ name, count: '0' });
      }
    });
  });

  it('shows a tenant its own rows only', async () => {
    const { rows } = await asTenant(db, tenant, (tx) => tx.sql('SELECT tenant_id FROM operator'));
    expect(rows).toEqual([{ tenant_id: tenant }]);
    expect(await asTenant(db, tenant, (tx) => tx.prisma.operator.findMany({ select: { tenantId: true } }))).toEqual([{ tenantId: tenant }]);
    expect(await asTenant(db, tenant, (tx) => tx.prisma.operator.findUnique({ where: { tenantId: other } }))).toBeNull();
  });

  it.each(['sql', 'prisma'] as const)('refuses to insert a row of another tenant (%s)', async (path) => {
    const refusal = asTenant(db, tenant, async (tx) => {
      if (path === 'sql') await tx.sql(`INSERT INTO outbox (tenant_id, topic, payload) VALUES ($1, 'a', '{}')`, [other]);
      else await tx.prisma.outbox.create({ data: { tenantId: other, topic: 'a', payload: {} } });
    });
    expect(rowSecurityRefusalOf(await refusal.catch((error: unknown) => error))).toEqual({ table: 'outbox' });
  });

  it('finds nothing of another tenant to change, and lets no row change hands', async () => {
    const { rowCount } = await asTenant(db, tenant, (tx) => tx.sql(`UPDATE operator SET name = 'Taken' WHERE tenant_id = $1`, [other]));
    expect(rowCount).toBe(0);
    const handOver = asTenant(db, tenant, async (tx) => {
      await tx.sql(`INSERT INTO tax_area (tenant_id, id, code, name, country, created_at) VALUES ($1, $2, 'X', 'X', 'US', now())`, [tenant, randomUUID()]);
      return tx.sql('UPDATE tax_area SET tenant_id = $1', [other]);
    });
    expect(rowSecurityRefusalOf(await handOver.catch((error: unknown) => error))).toEqual({ table: 'tax_area' });
    expect(await nameOf(other)).toBe('Test operator');
  });

  it('holds for the owner of the tables, who may list operators and change none', async () => {
    await onConnection(db.urls.owner, async (client) => {
      expect((await client.query('SELECT FROM audit_entry')).rowCount).toBe(0);
      expect((await client.query(`UPDATE operator SET name = 'Taken'`)).rowCount).toBe(0);
      expect((await client.query('SELECT FROM operator')).rowCount).toBe(2);
      const insert = client.query(`INSERT INTO outbox (tenant_id, topic, payload) VALUES ($1, 'a', '{}')`, [tenant]);
      expect(rowSecurityRefusalOf(await insert.catch((error: unknown) => error))).toEqual({ table: 'outbox' });
    });
  });

  it('refuses a connection whose role stands above it', async () => {
    for (const appUrl of [db.urls.superuser, db.urls.owner, db.urls.backup]) {
      const database = createDatabase({ appUrl, poolSize: 1 });
      await expect(pingDatabase(database)).rejects.toThrow(/stands above row security/);
      await closeDatabase(database);
    }
  });
});

describe('withTenant', () => {
  it('never leaks a tenant: 300 at once over ten connections, SQL and Prisma mixed', async () => {
    const tenants = await Promise.all(Array.from({ length: 12 }, () => createTenant(db)));
    const seen = await Promise.all(
      Array.from({ length: 300 }, async (_, index) => {
        const tenantId = tenants[index % tenants.length] ?? '';
        const asked = tenants[(index + 5) % tenants.length] ?? '';
        return asTenant(db, tenantId, async (tx) => {
          // findUnique is what Prisma gathers into one query per client and tick.
          const [bySql, own, foreign] = await Promise.all([
            tx.sql<{ tenant_id: string }>('SELECT tenant_id FROM operator'),
            tx.prisma.operator.findUnique({ where: { tenantId } }),
            tx.prisma.operator.findUnique({ where: { tenantId: asked } }),
          ]);
          return bySql.rows.length === 1 && bySql.rows[0]?.tenant_id === tenantId && own?.tenantId === tenantId && foreign === null;
        });
      }),
    );
    expect(seen).toEqual(Array(300).fill(true));
    expect(connectionCounts(db.database).total).toBeLessThanOrEqual(10);
  });

  it('runs SQL and Prisma on one connection, in one transaction', async () => {
    const ids = await asTenant(db, tenant, async (tx) => {
      const query = 'SELECT pg_backend_pid() AS pid, pg_current_xact_id()::text AS xact';
      return [(await tx.sql(query)).rows, await tx.prisma.$queryRawUnsafe(query)];
    });
    expect(ids[0]).toEqual(ids[1]);
  });

  it('undoes what either way wrote when the work throws', async () => {
    const failure = asTenant(db, tenant, async (tx) => {
      await tx.sql(`UPDATE operator SET name = 'By SQL'`);
      await tx.prisma.taxArea.create({ data: { tenantId: tenant, id: randomUUID(), code: 'UNDONE', name: 'By Prisma', ...addTaxArea } });
      throw new Error('after both');
    });
    await expect(failure).rejects.toThrow('after both');
    expect(await nameOf(tenant)).toBe('Test operator');
    expect(await asTenant(db, tenant, (tx) => tx.prisma.taxArea.count({ where: { code: 'UNDONE' } }))).toBe(0);
  });

  it('undoes the work and still answers when it returns rolledBack', async () => {
    const answer = await asTenant(db, tenant, async (tx) => {
      const { rows } = await tx.sql(`UPDATE operator SET name = 'Rehearsed' RETURNING name`);
      return rolledBack(rows[0]);
    });
    expect(answer).toEqual({ name: 'Rehearsed' });
    expect(await nameOf(tenant)).toBe('Test operator');
  });

  it('throws when it is called within its own work, also beside other work', async () => {
    const nested = asTenant(db, tenant, () => asTenant(db, other, async () => 'never'));
    await expect(nested).rejects.toThrow(/begun within another/);
    await expect(Promise.all([nameOf(tenant), nameOf(other)])).resolves.toHaveLength(2);
  });

  it('refuses statements that would end the transaction or leave the tenant', async () => {
    for (const statement of ['COMMIT', ' rollback', 'BEGIN', 'END', 'SET SESSION AUTHORIZATION DEFAULT', 'RESET ALL', 'DISCARD ALL']) {
      await expect(asTenant(db, tenant, (tx) => tx.sql(statement))).rejects.toThrow(/may not end it/);
    }
    await expect(asTenant(db, tenant, (tx) => tx.sql('SELECT 1; COMMIT'))).rejects.toThrow(/ended it/);
  });

  it('begins the next transaction of the connection with its own tenant, whatever the last one set', async () => {
    const small = createDatabase({ appUrl: db.urls.app, poolSize: 1 });
    const scope = { kind: 'system', id: 'test' } as const;
    await withTenant(small, { ...scope, tenantId: tenant }, (tx) => tx.sql(`SELECT set_config('app.tenant', $1, false)`, [tenant]));
    const { rows } = await withTenant(small, { ...scope, tenantId: other }, (tx) => tx.sql('SELECT tenant_id FROM operator'));
    expect(rows).toEqual([{ tenant_id: other }]);
    await closeDatabase(small);
  });

  it('does not commit work that went on after a statement had failed', async () => {
    const work = asTenant(db, tenant, async (tx) => {
      await tx.sql(`UPDATE operator SET name = 'Half done'`);
      await tx.sql('SELECT 1 / 0').catch(() => undefined);
    });
    await expect(work).rejects.toThrow(/after a statement had failed/);
    expect(await nameOf(tenant)).toBe('Test operator');
  });

  it('finishes statements that nobody waited for, and refuses those that come too late', async () => {
    const keep: { late?: () => Promise<unknown>; lateByPrisma?: () => Promise<unknown> } = {};
    await asTenant(db, tenant, async (tx) => {
      void tx.sql(`UPDATE operator SET settings = '{"forgotten": true}'`);
      keep.late = () => tx.sql(`UPDATE operator SET name = 'Late'`);
      keep.lateByPrisma = async () => tx.prisma.operator.updateMany({ data: { name: 'Late' } });
    });
    await expect(keep.late?.()).rejects.toThrow(/transaction is over/);
    await expect(keep.lateByPrisma?.()).rejects.toThrow(/transaction is over/);
    await expect(asTenant(db, other, () => keep.lateByPrisma?.() ?? Promise.resolve())).rejects.toThrow(/transaction is over/);
    expect(await nameOf(other)).toBe('Test operator');
    const { rows } = await asTenant(db, tenant, (tx) => tx.sql('SELECT settings, name FROM operator'));
    expect(rows).toEqual([{ settings: { forgotten: true }, name: 'Test operator' }]);
  });

  it('survives a connection that breaks between two statements', async () => {
    const lost: Error[] = [];
    const database = createDatabase({ appUrl: db.urls.app, poolSize: 1, onConnectionLost: (error) => lost.push(error) });
    const scope = { tenantId: tenant, kind: 'system', id: 'test' } as const;
    const broken = withTenant(database, scope, async (tx) => {
      const { rows } = await tx.sql<{ pid: number }>('SELECT pg_backend_pid() AS pid');
      await onConnection(db.urls.superuser, (client) => client.query('SELECT pg_terminate_backend($1)', [rows[0]?.pid]));
      await pause(50);
      return tx.sql('SELECT 1');
    });
    await expect(broken).rejects.toThrow(/terminat|not queryable|Connection/);
    await expect(withTenant(database, scope, async (tx) => (await tx.sql('SELECT 1 AS one')).rows)).resolves.toEqual([{ one: 1 }]);
    await closeDatabase(database);
  });

  it('refuses a tenant, user or job name that is none', async () => {
    const work = async (): Promise<void> => undefined;
    await expect(withTenant(db.database, { tenantId: `x' OR true`, kind: 'system', id: 'test' }, work)).rejects.toThrow(/no tenant id/);
    await expect(withTenant(db.database, { tenantId: tenant, kind: 'user', id: 'me' }, work)).rejects.toThrow(/no id of a user/);
    await expect(withTenant(db.database, { tenantId: tenant, kind: 'system', id: `a'b` }, work)).rejects.toThrow(/no id of a system/);
  });

  it('takes any request id as plain text', async () => {
    const requestId = `a'); DROP TABLE outbox; --\\`;
    const { rows } = await withTenant(db.database, { tenantId: tenant, kind: 'system', id: 'test', requestId }, (tx) => tx.sql('SELECT app.current_request() AS id'));
    expect(rows).toEqual([{ id: requestId }]);
  });
});

describe('values', () => {
  it('come without loss: bigint, date, timestamp, numeric, arrays', async () => {
    const { rows } = await asTenant(db, tenant, (tx) =>
      tx.sql(
        `SELECT $1::bigint AS minor, ARRAY[1, NULL, $1]::bigint[] AS minors, date '2026-03-29' AS day, ARRAY[date '2026-03-29'] AS days,
                timestamptz '2026-03-29 02:30:00+02' AS at, 0.1::numeric AS rate, '\\x00ff'::bytea AS bytes, '{"a": [1]}'::jsonb AS document, ARRAY['a', 'b c'] AS texts`,
        [9_007_199_254_740_993n],
      ),
    );
    expect(rows).toEqual([
      {
        minor: 9_007_199_254_740_993n,
        minors: [1n, null, 9_007_199_254_740_993n],
        day: '2026-03-29',
        days: ['2026-03-29'],
        at: new Date('2026-03-29T00:30:00Z'),
        rate: '0.1',
        bytes: Buffer.from([0, 255]),
        document: { a: [1] },
        texts: ['a', 'b c'],
      },
    ]);
  });

  it('are the same instant by Prisma, which would lose the offset of another time zone', async () => {
    const createdAt = new Date('2026-07-01T12:34:56.789Z');
    const read = await asTenant(db, tenant, async (tx) => {
      const { id } = await tx.prisma.taxArea.create({ data: { tenantId: tenant, id: randomUUID(), code: 'ZONE', name: 'Zone', country: 'US', createdAt } });
      const { rows } = await tx.sql<{ created_at: Date }>('SELECT created_at FROM tax_area WHERE id = $1', [id]);
      return rolledBack([rows[0]?.created_at, (await tx.prisma.taxArea.findFirstOrThrow({ where: { id } })).createdAt]);
    });
    expect(read).toEqual([createdAt, createdAt]);
  });
});

describe('Prisma writes of several statements', () => {
  const withRules = (codes: readonly string[]) => ({
    tenantId: tenant,
    id: randomUUID(),
    code: `NESTED-${codes.length}`,
    name: 'Nested',
    ...addTaxArea,
    taxRules: { create: codes.map((code) => ({ id: randomUUID(), code, validFrom: new Date('2026-01-01'), document: {}, createdAt: addTaxArea.createdAt })) },
  });

  it('stay within the transaction under way', async () => {
    const counts = await asTenant(db, tenant, async (tx) => {
      await tx.prisma.taxArea.create({ data: withRules(['A', 'B']) });
      return rolledBack((await tx.sql('SELECT (SELECT count(*) FROM tax_area) AS areas, (SELECT count(*) FROM tax_rule) AS rules')).rows);
    });
    expect(counts).toEqual([{ areas: 1n, rules: 2n }]);
    const after = await asTenant(db, tenant, (tx) => tx.sql('SELECT (SELECT count(*) FROM tax_area) AS areas, (SELECT count(*) FROM tax_rule) AS rules'));
    expect(after.rows).toEqual([{ areas: 0n, rules: 0n }]);
  });

  it('are undone as a whole when one fails, and leave the transaction usable', async () => {
    const after = await asTenant(db, tenant, async (tx) => {
      await tx.sql(`UPDATE operator SET name = 'Before'`);
      // The second rule overlaps the first: an exclusion constraint refuses it.
      await expect(tx.prisma.taxArea.create({ data: withRules(['SAME', 'SAME']) })).rejects.toThrow(/tax_rule_once_a_day/);
      return rolledBack((await tx.sql('SELECT name, (SELECT count(*) FROM tax_area) AS areas FROM operator')).rows);
    });
    expect(after).toEqual([{ name: 'Before', areas: 0n }]);
  });
});

describe('before a tenant is known', () => {
  it('only functions of schema identity can be called', async () => {
    const scope = { kind: 'system', id: 'sign-in' } as const;
    const rows = await withoutTenant(db.database, scope, (call) => call('identity.account_by_email', Buffer.alloc(32)));
    expect(rows).toEqual([]);
    for (const name of ['identity.x(1); SELECT', 'identity.X', 'app.tenant_ids', 'pg_sleep']) {
      await expect(withoutTenant(db.database, scope, (call) => call(name as `identity.${string}`))).rejects.toThrow(/no function of schema identity/);
    }
  });

  it('a job can list the operators to go through', async () => {
    const ids = await listTenantIds(db.database);
    expect(ids).toEqual(expect.arrayContaining([tenant, other]));
    expect([...ids].sort()).toEqual(ids);
  });
});
