import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { sha256 } from '#backoffice/evidence/append';
import { leafHash } from '#domain/evidence/merkle';
import { startTestApi, type TestApi } from '#tests/support/api';
import { onConnection } from '#tests/support/connection';
import { etag, makeAgreement, makeMachine, makeParty, makePerson, makePlacement, makeSite } from '#tests/support/set-up';
import { readHeld, verifyHeld } from './verify-log';

let api: TestApi;
let folder: string;
/** The second month's statement: its head covers everything that the first one left in the log. */
let statementFile: string;

beforeAll(async () => {
  api = await startTestApi();
  folder = mkdtempSync(join(tmpdir(), 'latchledger-verify-'));
  const office = api.operator.as('owner');
  const site = await makeSite(office);
  const party = await makeParty(office);
  await makeAgreement(office, { siteId: site.id, partyId: party.id });
  const machine = await makeMachine(office);
  await makePlacement(office, { machineId: machine.id, siteId: site.id });
  let settlementId = '';
  for (const month of ['2025-01', '2025-02']) {
    const counts = [{ machineTag: machine['tag'], coin: { amount: '40.00', currency: 'USD' }, note: { amount: '0.00', currency: 'USD' } }];
    const made = await api.operator.as('collector').post('/v1/collections', { siteId: site.id, happenedAt: `${month}-20T12:00:00Z`, counts }).expect(201);
    await office.post(`/v1/collections/${made.body.id as string}/accept`).expect(200);
    const close = await office.post('/v1/closes', { cycle: 'month', startsOn: `${month}-01` }).expect(202);
    for (const step of ['review', 'issue']) {
      await api.operator.work();
      await office.post(`/v1/closes/${close.body.id as string}/${step}`, step === 'review' ? {} : undefined).expect(202);
    }
    await api.operator.work();
    const list = await office.get(`/v1/settlements?startsOn=${month}-01`).expect(200);
    settlementId = list.body.items[0].id as string;
  }
  const pdf = await office.get(`/v1/settlements/${settlementId}/statement`).buffer(true).expect(200);
  statementFile = join(folder, 'statement.pdf');
  writeFileSync(statementFile, pdf.body as Buffer);
});
afterAll(async () => {
  rmSync(folder, { recursive: true, force: true });
  await api?.close();
});

const verify = async () => verifyHeld(api.db.database, await readHeld(['--head', statementFile]));

/** What a superuser can do to the log, undone afterwards so that each test meets it whole. */
async function tamperedWith(statements: readonly { text: string; values?: readonly unknown[] }[], look: () => Promise<void>): Promise<void> {
  await onConnection(api.db.urls.superuser, async (client) => {
    await client.query('CREATE TABLE kept_leaf AS TABLE evidence_leaf; CREATE TABLE kept_head AS TABLE evidence_head');
    // Triggers that refuse are ALWAYS ones; somebody who owns the server drops them.
    await client.query('ALTER TABLE evidence_leaf DISABLE TRIGGER ALL; ALTER TABLE evidence_head DISABLE TRIGGER ALL');
    try {
      for (const { text, values } of statements) await client.query(text, [...(values ?? [])]);
      await look();
    } finally {
      await client.query('DELETE FROM evidence_leaf; INSERT INTO evidence_leaf TABLE kept_leaf; DELETE FROM evidence_head; INSERT INTO evidence_head TABLE kept_head');
      await client.query('DROP TABLE kept_leaf, kept_head');
      await client.query('ALTER TABLE evidence_leaf ENABLE TRIGGER ALL; ALTER TABLE evidence_head ENABLE TRIGGER ALL');
    }
  });
}

const replaced = Buffer.from('{"kind":"settlement-numbered"}');
const replacedHash = (salt: Buffer): Buffer => Buffer.from(leafHash(Buffer.concat([salt, replaced]), sha256));
const salt = Buffer.alloc(16, 7);

test('an untouched log fits, and holds the statement and its very file', async () => {
  const { fits, lines } = await verify();
  expect(lines).toEqual([
    'The log of Test operator holds 4 entries and fits.',
    'Nothing of the first 2, which the head from outside covers, was changed or dropped.',
    expect.stringMatching(/^Entry 3 is the settlement of TEST-/),
    'Entry 4 is this very file.',
  ]);
  expect(fits).toBe(true);
});

test('a changed entry is named', async () => {
  await tamperedWith([{ text: 'UPDATE evidence_leaf SET entry = $1 WHERE leaf_index = 1', values: [replaced] }], async () => {
    expect((await verify()).lines[1]).toContain('Entry 2 (statement-issued');
  });
});

test('a dropped entry is named', async () => {
  await tamperedWith([{ text: 'DELETE FROM evidence_leaf WHERE leaf_index = 0' }], async () => {
    expect((await verify()).lines[1]).toBe('Entry 1 is missing.');
  });
});

test('a tail that was cut off together with its heads is found by the head from outside', async () => {
  await tamperedWith([{ text: 'DELETE FROM evidence_leaf WHERE leaf_index >= 1' }, { text: 'DELETE FROM evidence_head WHERE size >= 2' }], async () => {
    const { fits, lines } = await verify();
    expect(lines[1]).toBe('The log ends before entry 2, though a head covers 2: its end was cut off.');
    expect(fits).toBe(false);
  });
});

test('a log that was rewritten with all its heads is found by the head from outside', async () => {
  const rewrite = [
    { text: 'UPDATE evidence_leaf SET entry = $1, salt = $2, leaf_hash = $3 WHERE leaf_index = 0', values: [replaced, salt, replacedHash(salt)] },
    { text: 'DELETE FROM evidence_head' },
  ];
  await tamperedWith(rewrite, async () => {
    const { fits, lines } = await verify();
    expect(lines[1]).toBe('Entry 1, or one after it up to 2, was replaced together with its hash: it does not lead to the head from outside.');
    expect(fits).toBe(false);
  });
});

test.each([
  ['figures', `UPDATE settlement SET result = replace(result, '4000', '9000')`],
  ['inputs', `UPDATE settlement SET inputs = inputs || ' '`],
  ['the number', `UPDATE settlement SET number = number || '0'`],
  ['the whole settlement', 'DELETE FROM settlement'],
])('a settlement whose %s were changed past the program, the log left alone, is named', async (_, change) => {
  await onConnection(api.db.urls.superuser, async (client) => {
    // Undone at the end; the log is read from a connection of its own, so that the change has to be committed meanwhile.
    const { rows } = await client.query<{ id: string }>('SELECT id FROM settlement ORDER BY starts_on LIMIT 1');
    await client.query('CREATE TABLE kept_settlement AS TABLE settlement; ALTER TABLE settlement DISABLE TRIGGER ALL');
    try {
      const { rowCount } = await client.query(`${change} WHERE id = $1`, [rows[0]?.id]);
      expect(rowCount).toBe(1);
      expect(await verify()).toEqual({
        fits: false,
        lines: ['The log of Test operator fits, but the settlements do not fit it.', `Entry 1 about settlement ${rows[0]?.id} is not what is stored of it now: it was changed.`],
      });
    } finally {
      await client.query('DELETE FROM settlement; INSERT INTO settlement TABLE kept_settlement; DROP TABLE kept_settlement; ALTER TABLE settlement ENABLE TRIGGER ALL');
    }
  });
});

test('the database refuses all of that to its own roles', async () => {
  for (const url of [api.db.urls.app, api.db.urls.owner]) {
    for (const text of ['UPDATE evidence_leaf SET kind = kind', 'DELETE FROM evidence_leaf', 'TRUNCATE evidence_leaf']) {
      await expect(onConnection(url, (client) => client.query(text))).rejects.toThrow(/refused|permission denied/);
    }
  }
});

test('a file that was changed, or is none of ours, is not believed', async () => {
  const bytes = Buffer.from(await import('node:fs').then((fs) => fs.readFileSync(statementFile)));
  bytes.writeUInt8(bytes.readUInt8(1000) ^ 1, 1000);
  const changed = join(folder, 'changed.pdf');
  writeFileSync(changed, bytes);
  await expect(readHeld(['--head', changed])).rejects.toThrow(/changed after it was signed|no signature/);
  writeFileSync(changed, 'no pdf');
  await expect(readHeld(['--head', changed])).rejects.toThrow('no signature');
  await expect(readHeld(['--head', join(folder, 'nowhere.pdf')])).rejects.toThrow('cannot be read');
  await expect(readHeld([])).rejects.toThrow('npm run verify-log');
  await expect(readHeld(['--operator', 'x', '--size', '1', '--root', 'zz'])).rejects.toThrow('64 hexadecimal digits');
});

describe('what came after the number', () => {
  let settlementId: string;
  beforeAll(async () => {
    const owner = api.operator.as('owner');
    const gone = await makePerson(owner, { name: 'Nell Farrow', startedOn: '2025-01-01' });
    const [settlement] = (await owner.get('/v1/settlements?startsOn=2025-02-01').expect(200)).body.items as { id: string }[];
    await owner.post(`/v1/settlements/${settlement?.id}/reversal`, { reason: 'Counted by Nell Farrow at the wrong site' }).expect(200);
    const [certificate] = (await owner.get('/v1/signing-certificates').expect(200)).body.items as { id: string; validFrom: string }[];
    const path = `/v1/signing-certificates/${certificate?.id}/revocation`;
    await owner.post(path, { reason: 'Lost', revokedFrom: certificate?.validFrom }).expect(200);
    await api.operator.as('reviewer').post(`${path}/confirmation`).expect(200);
    // The entry about a reversal holds the digest of a reason that is another one, once a name was taken out of it.
    await owner.patch(`/v1/people/${gone.id}`, { leftOn: '2025-03-01' }).set('If-Match', etag(gone)).expect(200);
    const texts = (await owner.get(`/v1/people/${gone.id}/texts`).expect(200)).body.items as { reference: string }[];
    await owner.post(`/v1/people/${gone.id}/erasure`, { confirmed: texts.map(({ reference }) => reference) }).expect(201);
    settlementId = settlement?.id ?? '';
    expect((await verify()).fits).toBe(true);
  });

  const anotherSettlement = `INSERT INTO settlement SELECT (jsonb_populate_record(s, jsonb_build_object('id', uuidv7(), 'round', 77, 'number_serial', 77, 'number', 'TEST-2025-77', 'standing_digest', sha256('another')))).* FROM settlement s WHERE s.id = $1`;
  test.each([
    ['the file of a statement', 'statement', `UPDATE statement SET pdf = pdf || '\\x00' WHERE settlement_id = $1`, 'about the statement of settlement'],
    ['file and digest of a statement', 'statement', `UPDATE statement SET pdf = pdf || '\\x00', pdf_digest = sha256(pdf || '\\x00') WHERE settlement_id = $1`, 'about the statement of settlement'],
    ['a statement, gone', 'statement', 'DELETE FROM statement WHERE settlement_id = $1', 'about the statement of settlement'],
    ['the day of a reversal', 'settlement_reversal', 'UPDATE settlement_reversal SET accounting_date = accounting_date - 1 WHERE settlement_id = $1', 'about the reversal of settlement'],
    ['the time of a revocation', 'signing_certificate_revocation', `UPDATE signing_certificate_revocation SET revoked_from = revoked_from + interval '1 day'`, 'about revocation'],
    ['its confirmation', 'signing_certificate_revocation_confirmation', 'DELETE FROM signing_certificate_revocation_confirmation', 'about revocation'],
    ['a settlement without an entry', 'settlement', anotherSettlement, 'is stored, and the log does not hold it'],
  ])('%s, changed past the program, is found', async (_, table, change, expected) => {
    await onConnection(api.db.urls.superuser, async (client) => {
      await client.query(`CREATE TABLE kept AS TABLE ${table}; ALTER TABLE ${table} DISABLE TRIGGER ALL`);
      try {
        const { rowCount } = await client.query(change.replace('$1', `'${settlementId}'`));
        expect(rowCount).toBe(1);
        const { fits, lines } = await verify();
        expect([fits, lines[0]]).toEqual([false, 'The log of Test operator fits, but the settlements do not fit it.']);
        expect(lines[1]).toContain(expected);
      } finally {
        await client.query(`DELETE FROM ${table}; INSERT INTO ${table} TABLE kept; DROP TABLE kept; ALTER TABLE ${table} ENABLE TRIGGER ALL`);
      }
    });
  });
});
