import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ensureMasterKeyFile } from '#runtime/master-key-file';
import { seedDemo } from './seed';
import { createTestDatabase, type TestDatabase } from '#tests/support/database';
import { onConnection } from '#tests/support/connection';

let db: TestDatabase;
let keyDirectory: string;
beforeAll(async () => {
  keyDirectory = mkdtempSync(join(tmpdir(), 'latchledger-demo-key-'));
  ensureMasterKeyFile(join(keyDirectory, 'master.key'));
  db = await createTestDatabase();
});
afterAll(async () => {
  rmSync(keyDirectory, { recursive: true, force: true });
  await db?.drop();
});

test('the demo goes into the books through the use cases and leaves the last whole period open', async () => {
  const signIns = await seedDemo({ appUrl: db.urls.app, masterKeyFile: join(keyDirectory, 'master.key'), publicUrl: 'http://127.0.0.1:1', log: () => undefined });
  expect(signIns.map((signIn) => signIn.role)).toEqual(['owner', 'bookkeeper', 'collector', 'site-manager', 'custodian', 'auditor', 'owner', 'bookkeeper', 'collector', 'site-manager', 'custodian', 'auditor']);
  expect(new Set(signIns.map((signIn) => signIn.password)).size).toBe(signIns.length);
  const { rows } = await onConnection(db.urls.superuser, (client) =>
    client.query<Record<string, number>>(
      `SELECT (SELECT count(*)::int FROM site) AS sites, (SELECT count(*)::int FROM machine) AS machines,
              (SELECT count(*)::int FROM settlement WHERE state = 'numbered') AS numbered, (SELECT count(*)::int FROM settlement WHERE state <> 'numbered') AS others,
              (SELECT count(*)::int FROM box_count) AS counts, (SELECT count(*)::int FROM collection WHERE state <> 'accepted') AS open,
              (SELECT count(*)::int FROM late_change_settled) AS late_settled, (SELECT count(*)::int FROM settlement WHERE earlier_minor <> 0) AS with_differences,
              (SELECT count(*)::int FROM work_batch WHERE failures <> '[]') AS failed_batches,
              (SELECT count(*)::int FROM close_run) AS runs`,
    ),
  );
  const [found] = rows;
  expect(found).toMatchObject({ sites: 60, machines: 350, others: 0, open: 2, failed_batches: 0 });
  expect(found?.['numbered']).toBeGreaterThan(700);
  expect(found?.['counts']).toBeGreaterThan(10_000);
  expect(found?.['late_settled']).toBeGreaterThan(5);
  expect(found?.['with_differences']).toBeGreaterThan(5);
  expect(found?.['runs']).toBeGreaterThanOrEqual(26);
  const { rows: keys } = await onConnection(db.urls.superuser, (client) =>
    client.query<Record<string, number>>(
      `SELECT (SELECT count(*)::int FROM machine_lock WHERE removed_at IS NULL) AS locks, (SELECT count(DISTINCT machine_id)::int FROM machine_lock WHERE removed_at IS NULL) AS locked,
              (SELECT count(*)::int FROM key_case WHERE state = 'open') AS cases, (SELECT count(*)::int FROM key_inventory WHERE closed_at IS NOT NULL) AS inventories,
              (SELECT count(*)::int FROM key_inventory_discrepancy) AS discrepancies,
              (SELECT count(*)::int FROM custody WHERE held_to IS NULL AND known_to IS NULL AND state = 'missing') AS missing,
              (SELECT count(*)::int FROM custody_event e WHERE e.kind = 'issued' AND NOT EXISTS (SELECT FROM custody_acknowledgement a WHERE a.tenant_id = e.tenant_id AND a.event_id = e.id AND a.side = 'receiver')) AS unconfirmed,
              (SELECT count(*)::int FROM custody_event WHERE due_back_at < now()) AS overdue`,
    ),
  );
  expect(keys).toEqual([{ locks: 700, locked: 350, cases: 2, inventories: 2, discrepancies: 0, missing: 2, unconfirmed: 2, overdue: 2 }]);
  const { rows: money } = await onConnection(db.urls.superuser, (client) =>
    client.query<Record<string, number>>(
      `SELECT (SELECT count(*)::int FROM payment) AS payments, (SELECT count(*)::int FROM payment_return) AS returned, (SELECT count(*)::int FROM open_item_event WHERE kind = 'held') AS held,
              (SELECT count(*)::int FROM advance a WHERE a.amount_minor = 2 * (SELECT sum(d.amount_minor) FROM advance_reduction d WHERE d.tenant_id = a.tenant_id AND d.advance_id = a.id)) AS half_paid_back`,
    ),
  );
  expect(money[0]).toMatchObject({ returned: 2, held: 2, half_paid_back: 2 });
  expect(money[0]?.['payments']).toBeGreaterThan(40);
  // Most payees have an account that a second person confirmed, so that a payment run has something to pay and something to leave out; nothing is left to be mailed.
  const { rows: accounts } = await onConnection(db.urls.superuser, (client) =>
    client.query<Record<string, number>>(
      `SELECT count(*) FILTER (WHERE d.party_id IS NULL)::int AS own, count(d.party_id)::int AS payees, count(*) FILTER (WHERE e.happened_by <> d.proposed_by)::int AS by_second_person,
              (SELECT count(*)::int FROM bank_detail_payee_mail WHERE state <> 'sent') + (SELECT count(*)::int FROM bank_detail_mail WHERE state <> 'sent') AS mails_left,
              (SELECT count(*)::int FROM bank_detail_notice) AS told
         FROM bank_detail d JOIN bank_detail_event e ON e.tenant_id = d.tenant_id AND e.bank_detail_id = d.id AND e.kind = 'confirmed'`,
    ),
  );
  expect(accounts).toEqual([{ own: 2, payees: 56, by_second_person: 58, mails_left: 0, told: 116 }]);
  const { rows: rounds } = await onConnection(db.urls.superuser, (client) =>
    client.query<Record<string, number | boolean>>(
      `SELECT (SELECT count(*)::int FROM collection_round r JOIN operator o ON o.tenant_id = r.tenant_id WHERE r.planned_on = (now() AT TIME ZONE o.time_zone)::date) AS rounds_today, (SELECT count(*)::int FROM collection_rhythm) AS rhythms,
              (SELECT count(DISTINCT b.collection_id)::int FROM collection_bag b WHERE NOT EXISTS (SELECT FROM collection_bag_step s WHERE s.tenant_id = b.tenant_id AND s.bag_id = b.id)) AS on_their_way,
              (SELECT count(DISTINCT b.collection_id)::int FROM collection_bag b JOIN collection c ON c.tenant_id = b.tenant_id AND c.id = b.collection_id AND c.state = 'accepted') AS counted,
              (SELECT count(*)::int FROM cash_move WHERE kind = 'paid-in' AND reference <> '') AS paid_in, (SELECT count(*) > 20 FROM cash_move WHERE kind = 'paid-in' AND reference = '') AS paid_in_before, (SELECT count(*)::int FROM change_fund) AS funds`,
    ),
  );
  expect(rounds).toEqual([{ rounds_today: 2, rhythms: 60, on_their_way: 2, counted: 2, paid_in: 2, paid_in_before: true, funds: 2 }]);
  const { rows: slips } = await onConnection(db.urls.superuser, (client) =>
    client.query<Record<string, number>>(`SELECT count(*)::int AS claims, count(*) FILTER (WHERE num_nonnulls(refund_slip_id, refused_at, withdrawn_at) = 0)::int AS open, count(DISTINCT tenant_id)::int AS operators FROM refund_claim`),
  );
  expect(slips).toEqual([{ claims: 6, open: 6, operators: 2 }]);
  const { rows: meters } = await onConnection(db.urls.superuser, (client) =>
    client.query<Record<string, number>>(
      `SELECT (SELECT count(*)::int FROM counter_board) AS boards, (SELECT count(*)::int FROM machine_token) AS tokens, (SELECT count(*)::int FROM audit_file WHERE state = 'accepted') AS audit_files,
              (SELECT count(DISTINCT machine_id)::int FROM machine_report_reading) AS reporting, (SELECT count(*)::int FROM machine_event WHERE kind = 'fault') AS faults,
              (SELECT count(DISTINCT meter_id)::int FROM (SELECT r.meter_id, r.value, lag(r.value) OVER (PARTITION BY r.meter_id ORDER BY r.happened_at) AS before FROM meter_reading r) pair
                WHERE value < before - 90000) AS rolled_over,
              (SELECT count(DISTINCT f.tenant_id)::int FROM variance_flag f JOIN variance_flag_event e ON e.tenant_id = f.tenant_id AND e.flag_id = f.id WHERE f.state = 'open' AND 'meters-implausible' = ANY (e.reasons)) AS read_wrong,
              (SELECT count(DISTINCT f.tenant_id)::int FROM variance_flag f JOIN variance_flag_event e ON e.tenant_id = f.tenant_id AND e.flag_id = f.id WHERE f.state = 'open' AND 'steady-shortage' = ANY (e.reasons)) AS skimmed`,
    ),
  );
  // What a machine told of itself is held beside what was counted, coins and notes.
  const { rows: told } = await onConnection(db.urls.superuser, (client) =>
    client.query<Record<string, number>>(
      `SELECT count(*)::int AS compared, count(*) FILTER (WHERE v.expected_minor = v.counted_minor)::int AS agree
         FROM audit_file f JOIN cash_variance v ON v.tenant_id = f.tenant_id AND v.collection_id = f.collection_id AND v.machine_id = f.machine_id AND v.stands WHERE f.state = 'accepted'`,
    ),
  );
  expect(told).toEqual([{ compared: 4, agree: 4 }]);
  expect(meters).toEqual([{ boards: 12, tokens: 2, audit_files: 2, reporting: 2, faults: 2, rolled_over: 2, read_wrong: 2, skimmed: 2 }]);
}, 300_000);
