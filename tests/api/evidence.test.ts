import { randomBytes } from 'node:crypto';
import type { Consistency, EvidenceHead, EvidenceLeaf, EvidenceTimestamp, Inclusion } from '#contracts/evidence';
import { stampDailyHeads } from '#backoffice/evidence/stamp-heads';
import { sha256 } from '#backoffice/evidence/append';
import { verifyHeld } from '#command/verify-log';
import { leafHash, type TreeHead } from '#domain/evidence/merkle';
import { verifyConsistency, verifyInclusion } from '#domain/evidence/proof';
import { onConnection } from '#tests/support/connection';
import { describeWithProgram } from '#tests/support/outside-program';
import { AUTHORITY_POLICY, startTimestampAuthority, type TimestampAuthority } from '#tests/support/timestamp-authority';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment } from '#tests/support/collecting';
import { makeRunningSite, type Made } from '#tests/support/set-up';

let api: TestApi;
let auditor: TestClient;
let sites: Made[];
let heads: EvidenceHead[];

const get = async <Body>(path: string): Promise<Body> => (await auditor.get(`/v1/evidence/${path}`).expect(200)).body as Body;
const bytes = (hex: string): Buffer => Buffer.from(hex, 'hex');
const headOf = (head: { size: number; root: string }): TreeHead => ({ size: head.size, root: bytes(head.root) });

beforeAll(async () => {
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  auditor = api.operator.as('auditor');
  const office = api.operator.as('bookkeeper');
  heads = [await get<EvidenceHead>('head')];
  const running = [await makeRunningSite(office), await makeRunningSite(office), await makeRunningSite(office)];
  sites = running.map(({ site }) => site);
  for (const month of ['2026-03', '2026-04']) {
    for (const { site, machine } of running) await makeAcceptedCollection(office, site, [count(machine)], { happenedAt: moment(`${month}-10`) });
    await issueMonth(api, (await closeMonth(api, `${month}-01`)).id);
    heads.push(await get<EvidenceHead>('head'));
  }
});
afterAll(() => api?.close());

it('begins with the head of nothing and grows by a leaf per number and per file', () => {
  expect(heads.map((head) => head.size)).toEqual([0, 6, 12]);
  // RFC 6962 section 2.1: the hash of an empty list is the hash of an empty string.
  expect(heads[0]).toEqual({ size: 0, root: 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855', recordedAt: null });
});

it('shows each leaf with what is needed to hash it, and people by id only', async () => {
  const settlement = await settlementOf(api, { siteId: sites[0]?.id ?? '', startsOn: '2026-03-01' });
  const kinds: string[] = [];
  for (let index = 0; index < 12; index += 1) {
    const leaf = await get<EvidenceLeaf>(`leaves/${index}`);
    kinds.push(leaf.kind);
    expect(Buffer.from(leafHash(Buffer.concat([bytes(leaf.salt), Buffer.from(leaf.entry, 'utf8')]), sha256)).toString('hex')).toBe(leaf.leafHash);
    const entry = JSON.parse(leaf.entry) as Record<string, unknown>;
    expect(entry).toMatchObject({ kind: leaf.kind, settlementId: leaf.subjectId });
    expect(leaf.entry).not.toContain(sites[0]?.['name']);
    if (leaf.subjectId !== settlement.id) continue;
    if (leaf.kind === 'settlement-numbered') expect(entry).toMatchObject({ settlementDigest: settlement.digest, statementNumber: settlement.number, periodEnd: '2026-03-31' });
    else expect(entry).toMatchObject({ signedDigest: settlement.statement.digest });
  }
  const numbered = ['settlement-numbered', 'settlement-numbered', 'settlement-numbered'];
  const issued = ['statement-issued', 'statement-issued', 'statement-issued'];
  expect(kinds).toEqual([...numbered, ...issued, ...numbered, ...issued]);
  await auditor.get('/v1/evidence/leaves/12').expect(404);
  await auditor.get('/v1/evidence/leaves/-1').expect(404);
});

it('proves of every leaf that it lies under every later head', async () => {
  for (let size = 1; size <= 12; size += 1) {
    for (let index = 0; index < size; index += 1) {
      const { leafHash: hash, head, proof } = await get<Inclusion>(`inclusion?index=${index}&size=${size}`);
      expect(head.size).toBe(size);
      expect(verifyInclusion({ index, leafHash: bytes(hash), head: headOf(head), proof: proof.map(bytes) }, sha256)).toBe(true);
    }
  }
  expect((await get<Inclusion>('inclusion?index=3')).head).toEqual({ size: 12, root: heads[2]?.root });
  for (const path of ['index=12', 'index=3&size=3', 'index=0&size=13']) await auditor.get(`/v1/evidence/inclusion?${path}`).expect(404);
  await auditor.get('/v1/evidence/inclusion?index=x').expect(400);
});

it('proves that each head extends every older one', async () => {
  for (let from = 0; from <= 12; from += 1) {
    for (let to = from; to <= 12; to += 1) {
      const { older, newer, proof } = await get<Consistency>(`consistency?from=${from}&to=${to}`);
      expect(verifyConsistency({ older: headOf(older), newer: headOf(newer), proof: proof.map(bytes) }, sha256)).toBe(true);
    }
  }
  const held = await get<Consistency>(`consistency?from=${heads[1]?.size}`);
  expect([held.older.root, held.newer.root]).toEqual([heads[1]?.root, heads[2]?.root]);
  await auditor.get('/v1/evidence/consistency?from=5&to=4').expect(404);
  await auditor.get('/v1/evidence/consistency?from=0&to=13').expect(404);
});

it('is another log for another operator', async () => {
  const theirs = (await api.other.as('auditor').get('/v1/evidence/head').expect(200)).body as EvidenceHead;
  expect(theirs.size).toBe(0);
  await api.other.as('auditor').get('/v1/evidence/leaves/0').expect(404);
});

it('salts each leaf anew, so that equal figures have different hashes', async () => {
  const { rows } = await api.operator.inBooks((tx) => tx.sql<{ salts: bigint }>('SELECT count(DISTINCT salt) AS salts FROM evidence_leaf'));
  expect(rows).toEqual([{ salts: 12n }]);
});

describeWithProgram('openssl', 'openssl', () => {
  let clock: TimestampAuthority;
  let stranger: TimestampAuthority;
  beforeAll(() => {
    clock = startTimestampAuthority();
    stranger = startTimestampAuthority({ name: 'Somebody else' });
  });
  afterAll(() => {
    clock.close();
    stranger.close();
  });

  const trust = () => ({ anchors: [clock.anchor], policy: AUTHORITY_POLICY });
  const stamps = () => get<{ items: EvidenceTimestamp[]; next: string | null }>('timestamps');
  async function stamp(answer: (request: Uint8Array) => Uint8Array): Promise<{ stamped: number; troubles: unknown[] }> {
    const troubles: unknown[] = [];
    const deps = { ...api.backoffice, randomBytes };
    const stamped = await stampDailyHeads(deps, { ask: async (request) => answer(request), trust: trust(), onTrouble: (error) => troubles.push(error) });
    return { stamped, troubles };
  }
  const verify = (head: { size: number; root: string }) => verifyHeld(api.db.database, { operatorCode: api.operator.code, head: headOf(head) }, trust());

  it('an authority that fails, or answers what does not hold, leaves nothing behind and is asked again', async () => {
    const down = (): Uint8Array => {
      throw new Error('no route to the clock');
    };
    expect(await stamp(down)).toEqual({ stamped: 0, troubles: [new Error('no route to the clock')] });
    expect((await stamp(() => Buffer.from('<html>'))).troubles).toEqual([expect.objectContaining({ message: expect.stringContaining('unreadable') })]);
    expect((await stamp(stranger.answer)).troubles).toEqual([expect.objectContaining({ message: expect.stringContaining('chain-not-trusted') })]);
    const [older] = [clock.answer(await requestOf(stamp))];
    expect((await stamp(() => older)).troubles).toEqual([expect.objectContaining({ message: expect.stringContaining('other-nonce') })]);
    expect(await stamps()).toEqual({ items: [], next: null });
  });

  it('the head of the day is stamped once, shown with all that is needed to check it, and vouched for by the log', async () => {
    expect(await stamp(clock.answer)).toEqual({ stamped: 1, troubles: [] });
    expect(await stamp(clock.answer)).toEqual({ stamped: 0, troubles: [] });
    const [item, ...others] = (await stamps()).items;
    const head = heads[2] ?? { size: 0, root: '' };
    expect(others).toEqual([]);
    expect(item).toMatchObject({ size: head.size, root: head.root, policy: AUTHORITY_POLICY, authority: 'Clock of a test', trusted: true });
    expect(item?.data).toBe(`{"kind":"evidence-head","root":"${head.root}","size":${head.size}}`);
    expect(clock.verifies({ token: Buffer.from(item?.token ?? '', 'base64'), data: Buffer.from(item?.data ?? '') })).toBe(true);
    expect((await auditor.get('/v1/evidence/timestamps?cursor=x').expect(400)).body).toMatchObject({ code: 'invalid-cursor' });
    const { fits, lines } = await verify(head);
    expect([fits, lines[2]]).toEqual([true, expect.stringMatching(/^Time stamps that hold: 1, the last one on the head over 12 entries of .*Z by Clock of a test, whose certificate is trusted here\.$/)]);
  });

  it('a log rewritten as a whole, stored heads and all, is found by the stamp alone; a stamp that was touched is named', async () => {
    await onConnection(api.db.urls.superuser, async (client) => {
      const tables = ['evidence_leaf', 'evidence_head', 'evidence_head_stamp'];
      for (const table of tables) await client.query(`CREATE TABLE kept_${table} AS TABLE ${table}; ALTER TABLE ${table} DISABLE TRIGGER ALL`);
      try {
        // Cut back to the first six, heads with them: whoever asks only the log sees nothing.
        await client.query('DELETE FROM evidence_leaf WHERE leaf_index >= 6; DELETE FROM evidence_head WHERE size > 6');
        const cut = await verify(heads[1] ?? { size: 0, root: '' });
        expect([cut.fits, cut.lines[1]]).toEqual([false, 'The log ends before entry 7, though a head covers 12: its end was cut off.']);
        await client.query('INSERT INTO evidence_leaf TABLE kept_evidence_leaf ON CONFLICT DO NOTHING; INSERT INTO evidence_head TABLE kept_evidence_head ON CONFLICT DO NOTHING');
        await client.query('UPDATE evidence_head_stamp SET root = $1', [Buffer.alloc(32, 1)]);
        const touched = await verify(heads[2] ?? { size: 0, root: '' });
        expect([touched.fits, touched.lines[2]]).toEqual([false, 'The time stamp of the head over 12 entries does not hold (other-data).']);
      } finally {
        for (const table of tables) await client.query(`DELETE FROM ${table}; INSERT INTO ${table} TABLE kept_${table}; DROP TABLE kept_${table}; ALTER TABLE ${table} ENABLE TRIGGER ALL`);
      }
    });
  });
});

/** The request that an attempt sends; the attempt itself fails. */
async function requestOf(stamp: (answer: (request: Uint8Array) => Uint8Array) => Promise<unknown>): Promise<Uint8Array> {
  let sent: Uint8Array | undefined;
  await stamp((request) => {
    sent = request;
    throw new Error('kept');
  });
  if (sent === undefined) throw new Error('nothing was asked');
  return sent;
}
