import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Response } from 'supertest';
import { finishBatch, takeBatch, waitingBatches } from '#backoffice/close/batch.sql';
import { enqueueBatches } from '#backoffice/close/enqueue-batches';
import { numberBatch } from '#backoffice/close/number-batch';
import { newId } from '#runtime/ids';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, reviewMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection } from '#tests/support/collecting';
import { describeWithProgram, runProgram } from '#tests/support/outside-program';
import { makeRunningSite, type Made } from '#tests/support/set-up';
import { workDeps } from '#tests/support/work';

const MARCH = '2026-03-01';
let api: TestApi;
let office: TestClient;
let closeId: string;
let sites: Made[];
beforeAll(async () => {
  api = await startTestApi({ now: '2026-04-02T15:00:00Z' });
  office = api.operator.as('bookkeeper');
  sites = [];
  for (let index = 0; index < 3; index += 1) {
    const { site, machine } = await makeRunningSite(office);
    await makeAcceptedCollection(office, site, [count(machine)]);
    sites.push(site);
  }
  closeId = (await closeMonth(api, MARCH)).id;
});
afterAll(() => api?.close());

const path = (query = ''): string => `/v1/closes/${closeId}/statements${query}`;
const bytesOf = (answer: Response): Buffer => answer.body as Buffer;
const fetched = (headers: { [name: string]: string } = {}) => office.get(path()).set(headers).buffer(true).parse((answer, done) => {
  const chunks: Buffer[] = [];
  answer.on('data', (chunk: Buffer) => chunks.push(chunk)).on('end', () => done(null, Buffer.concat(chunks)));
});
/** Names in the central directory: of each its length, and where it begins (APPNOTE 4.3.12). */
function namesIn(zip: Buffer): string[] {
  const names: string[] = [];
  for (let at = zip.indexOf('PK\u0001\u0002'); at >= 0; at = zip.indexOf('PK\u0001\u0002', at + 4)) names.push(zip.toString('utf8', at + 46, at + 46 + zip.readUInt16LE(at + 28)));
  return names;
}

it('is refused until everything that has a number is issued', async () => {
  expect((await office.get(path()).expect(409)).body).toMatchObject({ code: 'statement-not-issued' });
  await reviewMonth(api, closeId);
  await office.post(`/v1/closes/${closeId}/issue`).expect(202);
  const { tenantId } = api.operator;
  const [batch] = await api.operator.inBooks((tx) => waitingBatches(tx, new Date('2030-01-01')));
  await numberBatch(workDeps(api.backoffice), { tenantId, batchId: batch?.id ?? '' });
  expect((await office.get(path()).expect(503)).body).toMatchObject({ code: 'statement-in-preparation' });
  // One of the three cannot be made: the others are there, and its number is named.
  const [left, ...made] = await api.operator.inBooks(async (tx) => {
    const [waiting] = await waitingBatches(tx, new Date('2030-01-01'));
    const { id, subject_ids: subjects } = (await takeBatch(tx, waiting?.id ?? '')) ?? { id: '', subject_ids: [] };
    await finishBatch(tx, { id, doneCount: 0, failures: [{ subjectId: subjects[0] ?? '', code: 'statement-not-made', message: 'No font covers it.' }], finishedAt: api.clock.now() });
    return subjects;
  });
  const render = async (subjectIds: readonly string[]): Promise<void> => {
    await api.operator.inBooks((tx) => enqueueBatches(tx, { closeRunId: closeId, task: 'render', subjectIds, requestedBy: 'user:test', now: api.clock.now(), newId }));
    await api.operator.work();
  };
  expect((await office.get(path()).expect(409)).body).toMatchObject({ code: 'statement-not-issued' });
  await render(made);
  const [{ body: one }, zip] = [await office.get(`/v1/settlements/${left}`).expect(200), bytesOf(await fetched().expect(200))];
  expect(namesIn(zip)).toEqual(['not-made.txt', expect.stringMatching(/^statement-/), expect.stringMatching(/^statement-/)]);
  expect(zip.includes(`could not be printed or signed yet. The month end says why.\r\n${(one as { number: string }).number}\r\n`)).toBe(true);
  await render([left ?? '']);
  expect(namesIn(bytesOf(await fetched().expect(200)))).toHaveLength(3);
  await api.operator.as('collector').get(path()).expect(403);
  await api.other.as('bookkeeper').get(path()).expect(404);
});

it('holds every statement as it was signed, by number, and says its length beforehand', async () => {
  const answer = await fetched().expect(200);
  const zip = bytesOf(answer);
  expect(answer.headers).toMatchObject({ 'content-type': 'application/zip', 'content-length': String(zip.length), 'accept-ranges': 'bytes' });
  expect(answer.headers['content-disposition']).toContain('statements-2026-03-01.zip');
  const settled = await Promise.all(sites.map((site) => settlementOf(api, { siteId: site.id, startsOn: MARCH })));
  expect(namesIn(zip)).toEqual(settled.map(({ number }) => `statement-${number}.pdf`).sort());
  for (const { id } of settled) {
    const pdf = bytesOf(await office.get(`/v1/settlements/${id}/statement`).buffer(true).expect(200));
    expect(zip.includes(pdf)).toBe(true);
  }
});

it('goes on where a download broke off, and begins anew when there are others by now', async () => {
  const whole = await fetched().expect(200);
  const zip = bytesOf(whole);
  const rest = await fetched({ Range: 'bytes=70000-', 'If-Range': whole.headers['etag'] as string }).expect(206);
  expect(rest.headers['content-range']).toBe(`bytes 70000-${zip.length - 1}/${zip.length}`);
  expect(bytesOf(rest).equals(zip.subarray(70_000))).toBe(true);
  expect(bytesOf(await fetched({ Range: 'bytes=70000-', 'If-Range': '"another"' }).expect(200)).length).toBe(zip.length);
  expect(bytesOf(await fetched({ Range: `bytes=${zip.length}-` }).expect(200)).length).toBe(zip.length);
});

it('is found by a link that names the operator, and by nobody at another one', async () => {
  const link = async (operator: string) => office.get(path(`?operator=${operator}`)).unset('Latchledger-Operator');
  expect((await link(api.operator.code)).status).toBe(200);
  expect((await link(api.other.code)).status).toBe(404);
});

it('keeps what was reversed, in a folder of its own', async () => {
  const [site] = sites;
  const { id, number } = await settlementOf(api, { siteId: site?.id ?? '', startsOn: MARCH });
  await office.post(`/v1/settlements/${id}/reversal`, { reason: 'A count was entered twice.' }).expect(200);
  const names = namesIn(bytesOf(await fetched().expect(200)));
  expect(names).toHaveLength(3);
  expect(names).toContain(`reversed/statement-${number}.pdf`);
});

describeWithProgram('unzip', 'unzip', () => {
  it('finds nothing wrong', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'archive-'));
    try {
      writeFileSync(join(folder, 'statements.zip'), bytesOf(await fetched().expect(200)));
      expect(runProgram('unzip', ['-t', join(folder, 'statements.zip')])).toMatchObject({ exitCode: 0, stdout: expect.stringContaining('No errors detected') as string });
    } finally {
      rmSync(folder, { recursive: true });
    }
  });
});
