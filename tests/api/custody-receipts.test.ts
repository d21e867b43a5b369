import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { readHeld, verifyHeld } from '#command/verify-log';
import type { CustodyEvent, MadeKeyCopies } from '#contracts/custody';
import { attachedReceipt } from '#statement/attached-figures';
import { checkSignature, isSound } from '#statement/sign/check-signature';
import { verifyStatement } from '#statement/verify/verify-statement';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { onConnection } from '#tests/support/connection';
import { keyBooks } from '#tests/support/keys';
import { describeWithProgram, runProgram } from '#tests/support/outside-program';
import { makePerson, makeSite, nextCode } from '#tests/support/set-up';

let api: TestApi;
let custodian: TestClient;
let folder: string;
let event: CustodyEvent;
let lost: CustodyEvent;

beforeAll(async () => {
  api = await startTestApi();
  folder = mkdtempSync(join(tmpdir(), 'latchledger-receipt-'));
  const owner = api.operator.as('owner');
  custodian = api.operator.as('custodian');
  const books = keyBooks(api.operator);
  const [cut, safe] = [await books.cut({ class: 'access', code: 'A-7' }), await books.store()];
  const barkeeper = (await makePerson(owner, { name: 'Zoë Łuck', employedBy: 'site', siteId: (await makeSite(owner)).id })).id;
  const numbers = [nextCode('K'), nextCode('K')];
  const made = (await custodian.post('/v1/key-copies', { keyCodeId: cut.id, numbers, storeId: safe, reason: 'Came with the lock' }).expect(201)).body as MadeKeyCopies;
  api.clock.advance({ milliseconds: 60_000 });
  const body = { keyCopyIds: made.items.map(({ id }) => id), from: { kind: 'store', id: safe }, to: { kind: 'person', id: barkeeper }, reason: 'For the bar 鍵' };
  event = (await custodian.post('/v1/custody-events', { ...body, kind: 'issued', dueBackAt: '2026-04-30T12:00:00Z' }).expect(201)).body as CustodyEvent;
  const strokes = [[50, 300, 200, 80, 260, 320, 420, 120, 600, 340], [620, 200, 900, 180]];
  await custodian.post(`/v1/custody-events/${event.id}/signatures`, { side: 'receiver', name: 'Z. Łuck', signature: { kind: 'drawn', strokes } }).expect(201);
  api.clock.advance({ milliseconds: 60_000 });
  lost = (await custodian.post('/v1/custody-events', { kind: 'reported-missing', keyCopyIds: [made.items[0]?.id], reason: 'Gone' }).expect(201)).body as CustodyEvent;
});
afterAll(async () => {
  rmSync(folder, { recursive: true, force: true });
  await api?.close();
});

async function receiptFile(): Promise<{ bytes: Buffer; path: string }> {
  const answer = await custodian.get(`/v1/custody-events/${event.id}/receipt`).buffer(true).expect(200).expect('Content-Type', /application\/pdf/);
  const path = join(folder, 'receipt.pdf');
  writeFileSync(path, answer.body as Buffer);
  return { bytes: answer.body as Buffer, path };
}

test('a receipt is signed, and holds the event, the head, and a proof that the one lies under the other', async () => {
  const { bytes, path } = await receiptFile();
  const signature = await checkSignature(bytes);
  expect(signature.found && isSound(signature.report)).toBe(true);
  const attached = await attachedReceipt(bytes);
  const head = (await api.operator.as('auditor').get('/v1/evidence/head').expect(200)).body as { size: number; root: string };
  expect(attached).toMatchObject({ eventId: event.id, operatorCode: api.operator.code, evidenceHead: { size: head.size, root: head.root } });
  expect(JSON.parse(attached?.leaf.entry ?? '')).toMatchObject({ kind: 'custody-recorded', eventId: event.id });
  const verified = await verifyHeld(api.db.database, await readHeld(['--head', path]));
  expect(verified).toEqual({
    fits: true,
    lines: [
      `The log of Test operator holds ${head.size} entries and fits.`,
      `Nothing of the first ${head.size}, which the head from outside covers, was changed or dropped.`,
      `Entry ${(attached?.leaf.index ?? 0) + 1} is the event of this receipt, ${event.id}.`,
    ],
  });
});

test('one that was changed is not believed, and a log that was rewritten under it is found', async () => {
  const { bytes, path } = await receiptFile();
  const changed = Buffer.from(bytes);
  changed.writeUInt8(changed.readUInt8(900) ^ 1, 900);
  const changedPath = join(folder, 'changed.pdf');
  writeFileSync(changedPath, changed);
  await expect(readHeld(['--head', changedPath])).rejects.toThrow(/changed after it was signed|no signature/);

  const held = await readHeld(['--head', path]);
  await onConnection(api.db.urls.superuser, async (client) => {
    await client.query('ALTER TABLE evidence_leaf DISABLE TRIGGER ALL');
    const { rows } = await client.query<{ entry: Buffer }>('SELECT entry FROM evidence_leaf WHERE subject_id = $1 AND kind = $2', [event.id, 'custody-recorded']);
    await client.query('UPDATE evidence_leaf SET entry = $1 WHERE subject_id = $2 AND kind = $3', [Buffer.from('{}'), event.id, 'custody-recorded']);
    expect((await verifyHeld(api.db.database, held)).fits).toBe(false);
    await client.query('UPDATE evidence_leaf SET entry = $1 WHERE subject_id = $2 AND kind = $3', [rows[0]?.entry, event.id, 'custody-recorded']);
    await client.query('ALTER TABLE evidence_leaf ENABLE TRIGGER ALL');
  });
  expect((await verifyHeld(api.db.database, held)).fits).toBe(true);
});

test('there is none for what nobody gave to anybody', async () => {
  expect((await custodian.get(`/v1/custody-events/${lost.id}/receipt`).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  await custodian.get('/v1/custody-events/0195e000-0000-7000-8000-00000000e15e/receipt').expect(404);
});

test('a receipt that is taken for a statement is told apart, and not called wrong', async () => {
  const seen = await verifyStatement((await receiptFile()).bytes);
  expect(seen.findings.filter(({ holds }) => holds === true).map(({ check }) => check)).toEqual(['signature', 'whole-file']);
  expect(seen.findings.find(({ check }) => check === 'attachment')).toMatchObject({ holds: 'unknown', why: { code: 'of-another-kind' } });
});

describeWithProgram('pdftotext', 'poppler-utils', () => {
  test('it says what, from whom, to whom, when and who confirmed it', async () => {
    const { path } = await receiptFile();
    const text = runProgram('pdftotext', ['-layout', path, '-'], { env: { LC_ALL: 'C.UTF-8' } }).stdout.replaceAll(/\s+/g, ' ');
    for (const part of [
      'Receipt for keys', 'Issued', '2026-03-31 07:01 (America/Chicago)', 'Lent until 2026-04-30 07:00 (America/Chicago)', `${event.copies[0]?.number}, access key, code A-7`,
      'For the bar ?', 'Given by Office safe', 'Not confirmed yet.', 'Received by Zoë Łuck', 'Confirmed by signature of Zoë Łuck', 'Signed: Z. Łuck', 'Page 1 of 1',
    ]) expect(text).toContain(part);
  });
});
