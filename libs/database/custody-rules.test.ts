import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Client, DatabaseError } from 'pg';
import { createTenant, createTestDatabase, onConnection, type TestDatabase } from '#tests/support/database';

// The rules about keys as the database itself keeps them, asked in plain SQL with the rights of the program.
const id = (last: string): string => `01890000-0000-7000-8000-000000000${last}`;
const [site, collector, machine] = [id('012'), id('014'), id('015')];
const [cashBoxCode, lock, store, place, exception, copy, made, custody] = [id('100'), id('101'), id('102'), id('104'), id('106'), id('107'), id('110'), id('112')];
const [accessCode, siteStaff, secondStore, newEvent, newId] = [id('200'), id('201'), id('202'), id('203'), id('204')];

let db: TestDatabase;
let tenant: string;
let client: Client;

const asOperator = `SELECT set_config('app.tenant', $1, true), set_config('app.actor', 'system:test', true)`;
const rows = (name: string): string => readFileSync(join(__dirname, '..', '..', 'tests', 'migrations', 'data', `${name}.sql`), 'utf8');

beforeAll(async () => {
  db = await createTestDatabase();
  tenant = await createTenant(db);
  await onConnection(db.urls.owner, async (owner) => {
    await owner.query('BEGIN');
    await owner.query(asOperator, [tenant]);
    // Rows as of that migration: a later one gave each mark of a late change its round.
    await owner.query(rows('20261125110000_trade_tables').replace(/INSERT INTO late_change_settled[^;]*;/, ''));
    // So did one each place who answers for it.
    await owner.query(rows('20261125130000_keys').replace(/(INSERT INTO key_place \(.*)responsible_person_id, (.*\n.*'Hook behind the bar', )'[^']*', /, '$1$2'));
    await owner.query(`INSERT INTO key_place_responsible (tenant_id, id, key_place_id, person_id, recorded_at) SELECT tenant_id, uuidv7(), key_place_id, person_id, recorded_at FROM key_place_user`);
    await owner.query(`UPDATE key_exception SET ended_at = '2026-01-03', end_recorded_at = '2026-01-03'`);
    await owner.query(`INSERT INTO key_code (tenant_id, id, code, class, outside_copies, created_at) VALUES (app.current_tenant(), '${accessCode}', 'A-1', 'access', false, '2026-01-02')`);
    await owner.query(`INSERT INTO person (tenant_id, id, code, name, employed_by, site_id, started_on, created_at) VALUES (app.current_tenant(), '${siteStaff}', 'B-1', 'Barkeeper', 'site', '${site}', '2026-01-01', '2026-01-02')`);
    await owner.query(`INSERT INTO key_store (tenant_id, id, code, name, kind, created_at) VALUES (app.current_tenant(), '${secondStore}', 'VAN', 'Van', 'van', '2026-01-02')`);
    await owner.query('COMMIT');
  });
  client = new Client({ connectionString: db.urls.app });
  await client.connect();
});
afterAll(async () => {
  await client?.end();
  await db?.drop();
});

/** Runs statements as one transaction that is undone, deferred rules included; gives the rule that refused, or `taken`. */
async function refusedBy(...statements: string[]): Promise<string> {
  await client.query('BEGIN');
  try {
    await client.query(asOperator, [tenant]);
    for (const statement of statements) await client.query(statement);
    await client.query('SET CONSTRAINTS ALL IMMEDIATE');
    return 'taken';
  } catch (error) {
    if (error instanceof DatabaseError) return error.constraint ?? error.code ?? 'refused';
    throw error;
  } finally {
    await client.query('ROLLBACK');
  }
}

const newLock = (fields: { opens: string; codeClass: string; code: string; place?: string; from?: string }): string =>
  `INSERT INTO machine_lock (tenant_id, id, machine_id, place, opens, class, key_code_id, fitted_at, recorded_at, recorded_by)
   VALUES (app.current_tenant(), '${newId}', '${machine}', '${fields.place ?? 'second-lock'}', '${fields.opens}', '${fields.codeClass}', '${fields.code}', '${fields.from ?? '2026-02-01'}', '2026-02-01', 'system:test')`;

const event = (fields: { kind: string; columns?: string; values?: string; at?: string; recordedAt?: string }): string =>
  `INSERT INTO custody_event (tenant_id, id, kind, says, happened_at, recorded_at, recorded_by, reason${fields.columns === undefined ? '' : `, ${fields.columns}`})
   VALUES (app.current_tenant(), '${newEvent}', '${fields.kind}', '${fields.kind}', '${fields.at ?? '2026-02-01'}', '${fields.recordedAt ?? '2026-02-01'}', 'system:test', 'Test'${fields.values === undefined ? '' : `, ${fields.values}`})`;
const issuedTo = (column: string, holder: string, at = '2026-02-01'): string =>
  event({ kind: 'issued', at, columns: `from_store_id, ${column}, acknowledge_by`, values: `'${store}', '${holder}', '2026-02-03'` });
const ofTheCopy = `INSERT INTO custody_event_copy (tenant_id, event_id, key_copy_id) VALUES (app.current_tenant(), '${newEvent}', '${copy}')`;

const interval = (fields: { from: string; to?: string; holder?: string; knownFrom?: string; state?: string }): string =>
  `INSERT INTO custody (tenant_id, id, key_copy_id, key_code_id, event_id, state, store_id, held_from, held_to, known_from)
   VALUES (app.current_tenant(), '${newId}', '${copy}', '${cashBoxCode}', '${made}', '${fields.state ?? 'held'}', ${fields.holder ?? `'${secondStore}'`},
           '${fields.from}', ${fields.to === undefined ? 'NULL' : `'${fields.to}'`}, '${fields.knownFrom ?? '2026-02-01'}')`;
const noLongerBelieved = `UPDATE custody SET known_to = '2026-02-01' WHERE id = '${custody}'`;
const firstPart = interval({ from: '2026-01-02', to: '2026-02-01', holder: `'${store}'` });
const secondPart = interval({ from: '2026-02-01' }).replace(newId, id('205'));

describe('locks', () => {
  // 25 CFR 542.21(g)(5): the compartment with the cash is keyed differently from any other compartment of the machine.
  it.each([
    ['a cash box that an access key opens', { opens: 'cash-box', codeClass: 'access', code: accessCode }, 'machine_lock_class_by_what_it_opens'],
    ['one lock for everything that an access key opens', { opens: 'everything', codeClass: 'access', code: accessCode }, 'machine_lock_class_by_what_it_opens'],
    ['a cash box under a code of the other class that is called its own', { opens: 'cash-box', codeClass: 'cash-box', code: accessCode }, 'machine_lock_code_of_its_class'],
    ['a play area that a cash-box key opens', { opens: 'play-area', codeClass: 'cash-box', code: cashBoxCode }, 'machine_lock_class_by_what_it_opens'],
    ['a second lock in one place', { opens: 'cash-box', codeClass: 'cash-box', code: cashBoxCode, place: 'cash-box' }, 'machine_lock_one_in_a_place'],
    ['a lock fitted after it was recorded', { opens: 'cash-box', codeClass: 'cash-box', code: cashBoxCode, from: '2026-03-01' }, 'machine_lock_times'],
  ])('refuses %s', async (_, fields, rule) => {
    expect(await refusedBy(newLock(fields))).toBe(rule);
  });

  it('takes an access lock, a second lock on the cash box, and a new lock in the place of one that was removed', async () => {
    expect(await refusedBy(newLock({ opens: 'play-area', codeClass: 'access', code: accessCode }))).toBe('taken');
    expect(await refusedBy(newLock({ opens: 'cash-box', codeClass: 'cash-box', code: cashBoxCode }))).toBe('taken');
    const removed = `UPDATE machine_lock SET removed_at = '2026-02-01', removal_recorded_at = '2026-02-01', removal_recorded_by = 'system:test', removal_reason = 'Worn' WHERE id = '${lock}'`;
    expect(await refusedBy(removed, newLock({ opens: 'cash-box', codeClass: 'cash-box', code: cashBoxCode, place: 'cash-box' }))).toBe('taken');
  });
});

describe('a cash-box key and the people of a site', () => {
  it('is issued to nobody employed by a site and hung up at no named place there', async () => {
    expect(await refusedBy(issuedTo('to_person_id', siteStaff), ofTheCopy)).toBe('custody_cash_box_key_not_to_a_site');
    expect(await refusedBy(issuedTo('to_place_id', place), ofTheCopy)).toBe('custody_cash_box_key_not_to_a_site');
    expect(await refusedBy(issuedTo('to_person_id', collector), ofTheCopy)).toBe('taken');
  });

  it.each(['found', 'seen'])('is taken down when it is %s there, with 24 hours to put it right', async (kind) => {
    const breach = `DO $$ BEGIN ASSERT (SELECT breach_due_at = '2026-02-02' AND exception_id IS NULL FROM custody_event_copy WHERE event_id = '${newEvent}'), 'no breach'; END $$`;
    expect(await refusedBy(event({ kind, columns: 'to_person_id', values: `'${siteStaff}'` }), ofTheCopy, breach)).toBe('taken');
  });

  it('may be given under the exception of an owner, which the record then names, while it lasts', async () => {
    const named = `DO $$ BEGIN ASSERT (SELECT exception_id = '${exception}' FROM custody_event_copy WHERE event_id = '${newEvent}'), 'not named'; END $$`;
    expect(await refusedBy(issuedTo('to_person_id', siteStaff, '2026-01-02 12:00'), ofTheCopy, named)).toBe('taken');
    expect(await refusedBy(issuedTo('to_person_id', siteStaff, '2026-01-03'), ofTheCopy)).toBe('custody_cash_box_key_not_to_a_site');
  });
});

describe('custody events', () => {
  // K.A.R. 112-104-37: date, issuer, receiver, times out and in. An event without its sides is none.
  it.each([
    ['issued without a giver', event({ kind: 'issued', columns: 'to_person_id, acknowledge_by', values: `'${collector}', '2026-02-03'` }), 'custody_event_sides'],
    ['issued to two', event({ kind: 'issued', columns: 'from_store_id, to_person_id, to_place_id, acknowledge_by', values: `'${store}', '${collector}', '${place}', '2026-02-03'` }), 'custody_event_sides'],
    ['returned to a person', event({ kind: 'returned', columns: 'from_person_id, to_person_id, acknowledge_by', values: `'${siteStaff}', '${collector}', '2026-02-03'` }), 'custody_event_sides'],
    ['missing with a receiver', event({ kind: 'reported-missing', columns: 'to_person_id', values: `'${collector}'` }), 'custody_event_sides'],
    ['issued without a day by which it is acknowledged', event({ kind: 'issued', columns: 'from_store_id, to_person_id', values: `'${store}', '${collector}'` }), 'custody_event_to_be_acknowledged'],
    ['recorded before it happened', event({ kind: 'destroyed', at: '2026-02-02' }), 'custody_event_known_after'],
    ['lent until before it was given', event({ kind: 'issued', columns: 'from_store_id, to_person_id, acknowledge_by, due_back_at', values: `'${store}', '${collector}', '2026-02-03', '2026-01-31'` }), 'custody_event_lent'],
    ['a correction of nothing', event({ kind: 'corrected' }).replace(`'corrected', 'corrected'`, `'corrected', NULL`), 'custody_event_correction'],
  ])('refuse one that is %s', async (_, statement, rule) => {
    expect(await refusedBy(statement)).toBe(rule);
  });

  it('are corrected once, and only for the copies that they were about', async () => {
    const correction = event({ kind: 'corrected', columns: 'corrects_id', values: `'${made}'` }).replace(`'corrected', 'corrected'`, `'corrected', NULL`);
    const again = (statement: string): string => statement.replaceAll(newEvent, id('206'));
    expect(await refusedBy(correction, ofTheCopy)).toBe('taken');
    expect(await refusedBy(correction, ofTheCopy, again(correction), again(ofTheCopy))).toBe('custody_event_copy_corrected_once');
    const otherCopy = `INSERT INTO key_copy (tenant_id, id, number, key_code_id, class, created_at) VALUES (app.current_tenant(), '${id('207')}', 'K-2', '${cashBoxCode}', 'cash-box', '2026-01-02')`;
    expect(await refusedBy(otherCopy, correction, ofTheCopy.replaceAll(copy, id('207')))).toBe('custody_event_copy_corrects_its_own');
  });

  it.each(['custody_event', 'custody_event_copy', 'custody_acknowledgement', 'custody_link'])('%s is append-only, for the owner of the table too', async (table) => {
    for (const statement of [`UPDATE ${table} SET tenant_id = tenant_id`, `DELETE FROM ${table}`, `TRUNCATE ${table} CASCADE`]) {
      expect(await refusedBy(statement)).toBe('42501');
      await expect(onConnection(db.urls.owner, (owner) => owner.query(statement))).rejects.toMatchObject({ code: 'LL001' });
    }
  });
});

describe('where a copy was', () => {
  it('is one place at a time, as known at one time', async () => {
    expect(await refusedBy(interval({ from: '2026-02-01' }))).toBe('custody_one_place_at_a_time');
    expect(await refusedBy(interval({ from: '2026-01-10', to: '2026-01-11' }))).toBe('custody_one_place_at_a_time');
    expect(await refusedBy(interval({ from: '2026-01-10', to: '2026-01-11', holder: 'NULL', state: 'missing' }))).toBe('custody_one_place_at_a_time');
  });

  it('may be told anew once the old answer is no longer believed', async () => {
    expect(await refusedBy(noLongerBelieved, firstPart, secondPart)).toBe('taken');
  });

  it('has no gap and no end', async () => {
    expect(await refusedBy(noLongerBelieved)).toBe('custody_without_gaps');
    expect(await refusedBy(noLongerBelieved, firstPart)).toBe('custody_without_gaps');
    expect(await refusedBy(noLongerBelieved, firstPart.replace(`'2026-02-01', '2026-02-01'`, `'2026-01-31', '2026-02-01'`), secondPart)).toBe('custody_without_gaps');
  });

  it('is with exactly one holder, or missing, or destroyed for good', async () => {
    expect(await refusedBy(noLongerBelieved, interval({ from: '2026-01-02', holder: 'NULL' }))).toBe('custody_exactly_one_holder');
    expect(await refusedBy(noLongerBelieved, interval({ from: '2026-01-02', state: 'missing' }))).toBe('custody_exactly_one_holder');
    expect(await refusedBy(noLongerBelieved, interval({ from: '2026-01-02', to: '2026-01-05', state: 'destroyed', holder: 'NULL' }))).toBe('custody_destroyed_for_good');
  });

  it('stays as it was once known', async () => {
    expect(await refusedBy(`UPDATE custody SET store_id = '${secondStore}'`)).toBe('custody_stays_as_known');
    expect(await refusedBy(`UPDATE custody SET known_to = '2026-02-01', held_to = '2026-01-20'`)).toBe('custody_stays_as_known');
    expect(await refusedBy(noLongerBelieved, `UPDATE custody SET known_to = NULL`)).toBe('custody_stays_as_known');
    expect(await refusedBy('DELETE FROM custody')).toBe('42501');
  });
});
