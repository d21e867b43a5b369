import { randomUUID } from 'node:crypto';
import { asTenant, createTenant, createTestDatabase, type TestDatabase } from '#tests/support/database';
import { attempt, constraintViolationOf } from './constraint';
import { rolledBack, type TenantTransaction } from './tenant';

let db: TestDatabase;
let tenant: string;
beforeAll(async () => {
  db = await createTestDatabase();
  tenant = await createTenant(db);
});
afterAll(() => db.drop());

const day = new Date('2026-01-02T00:00:00Z');
const area = (code: string) => ({ tenantId: tenant, id: randomUUID(), code, name: code, country: 'US', createdAt: day });
const rule = (taxAreaId: string) => ({ tenantId: tenant, id: randomUUID(), taxAreaId, code: 'R', validFrom: day, document: {}, createdAt: day });

const insertArea = (tx: TenantTransaction, code: string, id: string = randomUUID()) =>
  tx.sql(`INSERT INTO tax_area (tenant_id, id, code, name, country, created_at) VALUES ($1, $2, $3, $3, 'US', now())`, [tenant, id, code]);
const insertRule = (tx: TenantTransaction, areaId: string) =>
  tx.sql(`INSERT INTO tax_rule (tenant_id, id, tax_area_id, code, valid_from, document, created_at) VALUES ($1, $2, $3, 'R', '2026-01-02', '{}', now())`, [tenant, randomUUID(), areaId]);

const cases = {
  unique: {
    violation: { kind: 'unique', constraint: 'tax_area_tenant_id_code_key', table: 'tax_area' },
    sql: async (tx: TenantTransaction) => void (await insertArea(tx, 'SAME'), await insertArea(tx, 'SAME')),
    prisma: async (tx: TenantTransaction) => void (await tx.prisma.taxArea.create({ data: area('SAME') }), await tx.prisma.taxArea.create({ data: area('SAME') })),
  },
  exclusion: {
    violation: { kind: 'exclusion', constraint: 'tax_rule_once_a_day', table: 'tax_rule' },
    sql: async (tx: TenantTransaction) => {
      const id = randomUUID();
      await insertArea(tx, 'EXCLUDES', id);
      await insertRule(tx, id);
      await insertRule(tx, id);
    },
    prisma: async (tx: TenantTransaction) => {
      const { id } = await tx.prisma.taxArea.create({ data: area('EXCLUDES') });
      await tx.prisma.taxRule.create({ data: rule(id) });
      await tx.prisma.taxRule.create({ data: rule(id) });
    },
  },
  'foreign-key': {
    violation: { kind: 'foreign-key', constraint: 'tax_rule_tenant_id_tax_area_id_fkey', table: 'tax_rule' },
    sql: async (tx: TenantTransaction) => void (await insertRule(tx, randomUUID())),
    prisma: async (tx: TenantTransaction) => void (await tx.prisma.taxRule.create({ data: rule(randomUUID()) })),
  },
  check: {
    violation: { kind: 'check', constraint: 'operator_paper_known', table: 'operator' },
    sql: async (tx: TenantTransaction) => void (await tx.sql(`UPDATE operator SET paper = 'A3'`)),
    prisma: async (tx: TenantTransaction) => void (await tx.prisma.operator.update({ where: { tenantId: tenant }, data: { paper: 'A3' } })),
  },
} as const;

describe.each(Object.entries(cases))('a violated %s rule', (_, { violation, ...paths }) => {
  it.each(['sql', 'prisma'] as const)('is named to the caller of withTenant (%s)', async (path) => {
    const error = await asTenant(db, tenant, (tx) => paths[path](tx)).catch((thrown: unknown) => thrown);
    expect(constraintViolationOf(error)).toEqual(violation);
  });

  it.each(['sql', 'prisma'] as const)('is the answer of an attempt, after which the transaction goes on (%s)', async (path) => {
    const seen = await asTenant(db, tenant, async (tx) => {
      await insertArea(tx, 'KEPT');
      const result = await attempt(tx, () => paths[path](tx));
      const { rows } = await tx.sql('SELECT code FROM tax_area');
      return rolledBack({ result, rows });
    });
    expect(seen).toEqual({ result: { ok: false, violation }, rows: [{ code: 'KEPT' }] });
  });
});

describe('attempt', () => {
  it('gives the value of work that no rule refused, and keeps what it wrote', async () => {
    const seen = await asTenant(db, tenant, async (tx) => {
      const result = await attempt(tx, async () => (await insertArea(tx, 'GOOD')).rowCount);
      return rolledBack({ result, rows: (await tx.sql('SELECT code FROM tax_area')).rows });
    });
    expect(seen).toEqual({ result: { ok: true, value: 1 }, rows: [{ code: 'GOOD' }] });
  });

  it('throws what is no violated rule, and an attempt within an attempt undoes only its own', async () => {
    await expect(asTenant(db, tenant, (tx) => attempt(tx, () => tx.sql('SELECT 1 / 0')))).rejects.toThrow(/division by zero/);
    const rows = await asTenant(db, tenant, async (tx) => {
      await attempt(tx, async () => {
        await insertArea(tx, 'OUTER');
        await attempt(tx, () => insertArea(tx, 'OUTER'));
      });
      return rolledBack((await tx.sql('SELECT code FROM tax_area')).rows);
    });
    expect(rows).toEqual([{ code: 'OUTER' }]);
  });
});

describe('rules that speak at COMMIT', () => {
  it('are named by what withTenant throws', async () => {
    const empty = asTenant(db, tenant, (tx) =>
      tx.sql(`INSERT INTO journal_entry (tenant_id, id, kind, source_id, accounting_date, recorded_at, recorded_by) VALUES ($1, $2, 'test', $2, '2026-01-02', now(), $3)`, [tenant, randomUUID(), tx.actor]),
    );
    const error = await empty.catch((thrown: unknown) => thrown);
    expect(constraintViolationOf(error)).toMatchObject({ kind: 'check', constraint: 'journal_entry_has_postings' });
  });
});

describe('constraintViolationOf', () => {
  it('knows nothing of other errors', () => {
    expect(constraintViolationOf(new Error('23505'))).toBeUndefined();
    expect(constraintViolationOf(undefined)).toBeUndefined();
  });
});
