import type { MadeKeyCopies } from '#contracts/custody';
import { recordEvents } from '#backoffice/custody/record-events';
import { sha256 } from '#backoffice/evidence/append';
import { append, EMPTY_FRONTIER, headOf, leafHash, rootOfLeafHashes, type Frontier } from '#domain/evidence/merkle';
import { inclusionProof, verifyInclusion } from '#domain/evidence/proof';
import { verifyLog, type StoredLeaf } from '#backoffice/evidence/verify-log';
import type { Client } from 'pg';
import { newId } from '#runtime/ids';
import { startTestApi, type TestApi } from '#tests/support/api';
import { onConnection } from '#tests/support/connection';
import { keyBooks } from '#tests/support/keys';
import { makePerson, nextCode } from '#tests/support/set-up';
import { verifyHeld, type Held } from './verify-log';

// A log of 500 entries about keys, and the head that somebody outside holds over it.
const EVENTS = 500;
const SEED = 20260331;

let api: TestApi;
let held: Held;
let leaves: StoredLeaf[];

beforeAll(async () => {
  api = await startTestApi();
  const owner = api.operator.as('owner');
  const books = keyBooks(api.operator);
  const cut = await books.cut({ class: 'cash-box' });
  const safe = await books.store();
  const person = (await makePerson(owner)).id;
  const numbers = Array.from({ length: 20 }, () => nextCode('K'));
  const made = (await owner.post('/v1/key-copies', { keyCodeId: cut.id, numbers, storeId: safe, reason: 'New cut', happenedAt: '2026-03-01T00:00:00Z' }).expect(201)).body as MadeKeyCopies;
  await api.operator.inBooks(async (tx) => {
    const caller = { kind: 'system', id: 'test', tenantId: tx.tenantId } as const;
    const [store, holder] = [{ kind: 'store', id: safe }, { kind: 'person', id: person }] as const;
    const commands = Array.from({ length: EVENTS - 1 }, (_, index) => {
      const out = Math.floor(index / numbers.length) % 2 === 0;
      return {
        kind: out ? 'issued' : 'returned',
        keyCopyIds: [made.items[index % numbers.length]?.id ?? ''],
        from: out ? store : holder,
        to: out ? holder : store,
        happenedAt: new Date(Date.parse('2026-03-02T00:00:00Z') + index * 60_000),
        reason: 'Route of the week',
      } as const;
    });
    const recorded = await recordEvents({ tx, now: api.clock.now(), caller, newId }, commands);
    if (!recorded.ok) throw new Error(JSON.stringify(recorded.failure));
  });
  leaves = await onConnection(api.db.urls.superuser, storedLeaves);
  const head = (await owner.get('/v1/evidence/head').expect(200)).body as { size: number; root: string };
  held = { operatorCode: api.operator.code, head: { size: head.size, root: Buffer.from(head.root, 'hex') } };
});
afterAll(() => api?.close());

async function storedLeaves(client: Client): Promise<StoredLeaf[]> {
  type Row = { leaf_index: string; kind: string; subject_id: string; salt: Buffer; entry: Buffer; leaf_hash: Buffer };
  const { rows } = await client.query<Row>('SELECT leaf_index, kind, subject_id, salt, entry, leaf_hash FROM evidence_leaf WHERE tenant_id = $1 ORDER BY leaf_index', [api.operator.tenantId]);
  return rows.map((row) => ({ index: Number(row.leaf_index), kind: row.kind, subjectId: row.subject_id, salt: row.salt, entry: row.entry, leafHash: row.leaf_hash }));
}

const verify = () => verifyHeld(api.db.database, held);
const bytesOf = (leaf: StoredLeaf): Buffer => Buffer.concat([leaf.salt, leaf.entry]);
async function* stream<Item>(items: readonly Item[]): AsyncGenerator<Item> {
  yield* items;
}

/** Runs statements that only the owner of the server can, and undoes them. */
async function asSuperuser(work: (client: Client) => Promise<void>): Promise<void> {
  const tables = ['evidence_leaf', 'evidence_head', 'evidence_frontier', 'custody_event', 'custody_event_copy', 'custody'];
  await onConnection(api.db.urls.superuser, async (client) => {
    for (const table of tables) await client.query(`CREATE TABLE kept_${table} AS TABLE ${table}; ALTER TABLE ${table} DISABLE TRIGGER ALL`);
    try {
      await work(client);
    } finally {
      for (const table of tables.toReversed()) await client.query(`DELETE FROM ${table}`);
      for (const table of tables) await client.query(`INSERT INTO ${table} TABLE kept_${table}; DROP TABLE kept_${table}; ALTER TABLE ${table} ENABLE TRIGGER ALL`);
    }
  });
}

/** Numbers that look random and are the same in every run. */
function randomFrom(seed: number): (below: number) => number {
  let state = seed;
  return (below) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return Math.floor((state / 2 ** 32) * below);
  };
}

test('untouched, all of it fits, and so do the books', async () => {
  expect(leaves).toHaveLength(EVENTS);
  expect(await verify()).toEqual({
    fits: true,
    lines: [`The log of Test operator holds ${EVENTS} entries and fits.`, `Nothing of the first ${EVENTS}, which the head from outside covers, was changed or dropped.`],
  });
});

test('any byte of any entry, changed, leads away from the head that is held', () => {
  const hashes = leaves.map((leaf) => leafHash(bytesOf(leaf), sha256));
  expect(Buffer.from(rootOfLeafHashes(hashes, sha256))).toEqual(held.head.root);
  let flipped = 0;
  const unnoticed: string[] = [];
  for (const leaf of leaves) {
    const proof = inclusionProof({ index: leaf.index, leafHashes: hashes }, sha256) ?? [];
    const bytes = bytesOf(leaf);
    const claim = { index: leaf.index, head: held.head, proof };
    if (!verifyInclusion({ ...claim, leafHash: leafHash(bytes, sha256) }, sha256)) throw new Error(`entry ${leaf.index} is not under the head`);
    for (let at = 0; at < bytes.length; at += 1) {
      bytes.writeUInt8(bytes.readUInt8(at) ^ (1 << (at % 8)), at);
      if (verifyInclusion({ ...claim, leafHash: leafHash(bytes, sha256) }, sha256)) unnoticed.push(`byte ${at} of entry ${leaf.index}`);
      bytes.writeUInt8(bytes.readUInt8(at) ^ (1 << (at % 8)), at);
      flipped += 1;
    }
  }
  expect(unnoticed).toEqual([]);
  expect(flipped).toBeGreaterThan(EVENTS * 500);
}, 120_000);

test('the walk names the entry, wherever a byte of it was changed', async () => {
  const random = randomFrom(SEED);
  for (const leaf of leaves) {
    const at = random(bytesOf(leaf).length);
    const changed = bytesOf(leaf);
    changed.writeUInt8(changed.readUInt8(at) ^ 0x20, at);
    const log = leaves.map((other) => (other === leaf ? { ...leaf, salt: changed.subarray(0, 16), entry: changed.subarray(16) } : other));
    expect(await verifyLog({ leaves: stream(log), storedHeads: stream([]), heldHeads: [held.head] }, sha256)).toMatchObject({ kind: 'altered', first: leaf.index });
  }
}, 120_000);

test('two hundred random bytes, changed in the database one after the other, are each named', async () => {
  const random = randomFrom(SEED);
  await asSuperuser(async (client) => {
    for (let round = 0; round < 200; round += 1) {
      const leaf = leaves[random(EVENTS)];
      if (leaf === undefined) throw new Error('no leaf');
      const column = (['salt', 'entry', 'leaf_hash'] as const)[random(3)] ?? 'entry';
      const whole = column === 'salt' ? leaf.salt : column === 'entry' ? leaf.entry : leaf.leafHash;
      const changed = Buffer.from(whole);
      const at = random(changed.length);
      changed.writeUInt8(changed.readUInt8(at) ^ (1 + random(255)), at);
      const write = (bytes: Uint8Array) => client.query(`UPDATE evidence_leaf SET ${column} = $1 WHERE tenant_id = $2 AND leaf_index = $3`, [bytes, api.operator.tenantId, leaf.index]);
      await write(changed);
      const { fits, lines } = await verify();
      expect([fits, lines[1]]).toEqual([false, `Entry ${leaf.index + 1} (${leaf.kind} of ${leaf.subjectId}) was changed: it no longer has the hash that is stored beside it.`]);
      await write(whole);
    }
  });
}, 120_000);

test('a tail that was cut off, the books with it, is found', async () => {
  await asSuperuser(async (client) => {
    await client.query('DELETE FROM evidence_leaf WHERE leaf_index >= 490; DELETE FROM evidence_head WHERE size > 490');
    const { fits, lines } = await verify();
    expect([fits, lines[1]]).toEqual([false, `The log ends before entry 491, though a head covers ${EVENTS}: its end was cut off.`]);
  });
});

test('a rewrite of everything, books, hashes, heads and edge, is found by the head that is held and by nothing else', async () => {
  const victim = leaves[250];
  if (victim === undefined) throw new Error('no leaf');
  await asSuperuser(async (client) => {
    const { tenantId } = api.operator;
    await client.query(`UPDATE custody_event SET reason = 'Something else' WHERE id = $1`, [victim.subjectId]);
    const { createHash } = await import('node:crypto');
    const { rows: salts } = await client.query<{ reason_salt: Buffer }>('SELECT reason_salt FROM custody_event WHERE id = $1', [victim.subjectId]);
    const digest = (text: string): string => createHash('sha256').update(salts[0]?.reason_salt ?? Buffer.alloc(0)).update(text, 'utf8').digest('hex');
    const entry = Buffer.from(victim.entry.toString().replace(digest('Route of the week'), digest('Something else')));
    expect(entry.equals(victim.entry)).toBe(false);
    let frontier: Frontier = EMPTY_FRONTIER;
    await client.query('DELETE FROM evidence_head WHERE tenant_id = $1', [tenantId]);
    for (const leaf of leaves) {
      const bytes = leaf === victim ? Buffer.concat([leaf.salt, entry]) : bytesOf(leaf);
      const hash = leafHash(bytes, sha256);
      if (leaf === victim) await client.query('UPDATE evidence_leaf SET entry = $1, leaf_hash = $2 WHERE tenant_id = $3 AND leaf_index = $4', [entry, hash, tenantId, leaf.index]);
      frontier = append(frontier, hash, sha256);
    }
    const head = headOf(frontier, sha256);
    await client.query('INSERT INTO evidence_head (tenant_id, size, root, recorded_at) VALUES ($1, $2, $3, now())', [tenantId, head.size, head.root]);
    await client.query('UPDATE evidence_frontier SET nodes = $2::bytea[] WHERE tenant_id = $1', [tenantId, frontier.peaks]);

    const found = await verify();
    expect([found.fits, found.lines[1]]).toEqual([false, `Entry 1, or one after it up to ${EVENTS}, was replaced together with its hash: it does not lead to the head from outside.`]);
    // Whoever asks the log about itself is told that all is well.
    const believed = await verifyHeld(api.db.database, { ...held, head });
    expect(believed.fits).toBe(true);
  });
});

describe('the books changed past the program, the log left alone', () => {
  test.each([
    ['an event', `UPDATE custody_event SET happened_at = happened_at - interval '1 hour' WHERE id = $1`, 'is not what the books say of it now'],
    ['its receiver', `UPDATE custody_event SET reason = 'Someone else' WHERE id = $1`, 'is not what the books say of it now'],
    ['its copy', `DELETE FROM custody_event_copy WHERE event_id = $1`, 'is not what the books say of it now'],
    ['the whole event', `DELETE FROM custody_event WHERE id = $1`, 'is not what the books say of it now'],
    ['where the copy is', `UPDATE custody SET state = 'missing', person_id = NULL, store_id = NULL WHERE event_id = $1 AND known_to IS NULL`, 'elsewhere in the books than its events say'],
    ['until when the copy is lent', `UPDATE custody SET due_back_at = held_from + interval '1 hour' WHERE event_id = $1 AND known_to IS NULL`, 'elsewhere in the books than its events say'],
    ['whether a site has it', `UPDATE custody SET cash_box_at_site = NOT cash_box_at_site WHERE event_id = $1 AND known_to IS NULL`, 'elsewhere in the books than its events say'],
    ['one more event', `INSERT INTO custody_event (tenant_id, id, kind, says, happened_at, recorded_at, recorded_by, reason)
                        SELECT tenant_id, uuidv7(), 'destroyed', 'destroyed', happened_at, recorded_at, recorded_by, reason FROM custody_event WHERE id = $1`, 'the log does not hold it'],
  ])('%s', async (_, statement, expected) => {
    await asSuperuser(async (client) => {
      await client.query(statement, [leaves[300]?.subjectId]);
      const { fits, lines } = await verify();
      expect([fits, lines[0]]).toEqual([false, 'The log of Test operator fits, but the books of keys do not fit it.']);
      expect(lines[1]).toContain(expected);
    });
  });
});
