import type { MadeKeyCopies } from '#contracts/custody';
import type { EvidenceHead, MailedHead } from '#contracts/evidence';
import type { Page } from '#contracts/page';
import { sendDailyHeads } from '#backoffice/evidence/send-heads';
import { readHeld, verifyHeld } from '#command/verify-log';
import { startTestApi, type TestApi, type TestOperator } from '#tests/support/api';
import { onConnection } from '#tests/support/connection';
import { keyBooks } from '#tests/support/keys';
import { nextCode } from '#tests/support/set-up';

type Mail = { to: readonly string[]; subject: string; text: string };
let api: TestApi;
let mails: Mail[];
let troubles: unknown[];

// An installation for each test: sessions end while days go by.
beforeEach(async () => {
  api = await startTestApi();
  mails = [];
  troubles = [];
});
afterEach(() => api?.close());

const HOUR = 3_600_000;
const send = (deliver: (mail: Mail) => Promise<void> = async (mail) => void mails.push(mail)) => sendDailyHeads(api.backoffice, { send: deliver, onTrouble: (error) => troubles.push(error) });
const later = (hours: number): void => api.clock.advance({ milliseconds: hours * HOUR });

async function growLog(operator: TestOperator): Promise<void> {
  const books = keyBooks(operator);
  const body = { keyCodeId: (await books.cut({ class: 'access' })).id, numbers: [nextCode('K')], storeId: await books.store(), reason: 'New lock' };
  const made = (await operator.as('custodian').post('/v1/key-copies', body).expect(201)).body as MadeKeyCopies;
  expect(made.items).toHaveLength(1);
}
const headOf = async (operator: TestOperator): Promise<EvidenceHead> => (await operator.as('auditor').get('/v1/evidence/head').expect(200)).body as EvidenceHead;

test('owners and auditors get the head once a day, where the log has grown', async () => {
  expect(await send()).toBe(0);
  await growLog(api.operator);
  expect(await send()).toBe(1);
  const head = await headOf(api.operator);
  const [mail] = mails;
  expect([...(mail?.to ?? [])].sort()).toEqual([api.operator.as('auditor').email, api.operator.as('owner').email].sort());
  expect(mail?.subject).toBe('Head of the evidence log of Test operator, 2026-03-31');
  expect(mail?.text).toContain(`--operator ${api.operator.code.toUpperCase()} --size ${head.size} --root ${head.root}`);

  await growLog(api.operator);
  later(1);
  // The day is the operator's: in Chicago it is still the 31st.
  expect(await send()).toBe(0);
  later(24);
  expect(await send()).toBe(1);
  later(24);
  // Nothing new: nobody is bothered.
  expect(await send()).toBe(0);
  expect(troubles).toEqual([]);
});

test('each is written to in their own language', async () => {
  await api.operator.as('auditor').post('/v1/account/language', { language: 'es' }).expect(200);
  await growLog(api.operator);
  expect(await send()).toBe(1);
  const to = (role: 'owner' | 'auditor') => mails.find((mail) => mail.to.includes(api.operator.as(role).email));
  expect(to('owner')?.text).toMatch(/Keep this mail[\s\S]*npm run verify-log/);
  expect(to('auditor')?.subject).toBe('Cabecera del registro de Test operator, 2026-03-31');
  expect(to('auditor')?.text).toMatch(/Guarde este correo[\s\S]*npm run verify-log/);
  expect(troubles).toEqual([]);
});

test('what stands in the mail is what verify-log is given, and a log rewritten since is found by it', async () => {
  await growLog(api.operator);
  await send();
  const command = /npm run verify-log -- (.*)$/m.exec(mails[0]?.text ?? '')?.[1] ?? '';
  const held = await readHeld(command.split(' '));
  const { size } = await headOf(api.operator);
  // Copies of these tests were put into the books with their events by the program, so that everything fits.
  expect(await verifyHeld(api.db.database, held)).toMatchObject({ fits: true });
  await onConnection(api.db.urls.superuser, async (client) => {
    await client.query('ALTER TABLE evidence_leaf DISABLE TRIGGER ALL; ALTER TABLE evidence_head DISABLE TRIGGER ALL');
    await client.query('DELETE FROM evidence_leaf WHERE leaf_index = $1', [size - 1]);
    await client.query('DELETE FROM evidence_head WHERE size = $1', [size]);
  });
  expect((await verifyHeld(api.db.database, held)).lines[1]).toBe(`The log ends before entry ${size}, though a head covers ${size}: its end was cut off.`);
});

test('a mail that could not be sent is tried again, and keeps no other operator from theirs', async () => {
  await growLog(api.operator);
  await growLog(api.other);
  let attempts = 0;
  const first = await send(async (mail) => {
    attempts += 1;
    if (attempts === 1) throw new Error('no mail server');
    mails.push(mail);
  });
  expect([first, attempts, troubles]).toEqual([1, 2, [new Error('no mail server')]]);
  expect([await send(), mails.length, troubles.length]).toEqual([1, 2, 1]);
  expect(new Set(mails.flatMap(({ to }) => to)).size).toBe(4);
});

test('what went out is listed with its figures, the newest first, page by page, to whoever may read the log', async () => {
  const list = async (query = '') => (await api.operator.as('auditor').get(`/v1/evidence/mailed-heads${query}`).expect(200)).body as Page<MailedHead>;
  expect(await list()).toEqual({ items: [], next: null });
  await api.operator.as('collector').get('/v1/evidence/mailed-heads').expect(403);
  expect((await api.other.as('auditor').get('/v1/evidence/mailed-heads').expect(200)).body).toEqual({ items: [], next: null });
  // Whoever does nothing for half a day is signed out.
  const dayLater = async () => {
    for (let third = 0; third < 3; third += 1) {
      later(8);
      await api.operator.as('custodian').get('/v1/own-keys').expect(200);
      await list();
    }
  };
  const heads: EvidenceHead[] = [];
  for (const day of [1, 2, 3]) {
    await growLog(api.operator);
    heads.unshift(await headOf(api.operator));
    await send();
    if (day < 3) await dayLater();
  }
  const first = await list('?limit=2');
  expect(first.items).toEqual([
    { mailedOn: '2026-04-02', mailedAt: api.clock.now().toISOString(), size: heads[0]?.size, root: heads[0]?.root, addresses: 2 },
    expect.objectContaining({ mailedOn: '2026-04-01', size: heads[1]?.size, root: heads[1]?.root }),
  ]);
  const rest = await list(`?limit=2&cursor=${first.next ?? ''}`);
  expect(rest).toEqual({ items: [expect.objectContaining({ mailedOn: '2026-03-31', size: heads[2]?.size })], next: null });
  expect((await api.operator.as('auditor').get('/v1/evidence/mailed-heads?cursor=x').expect(400)).body).toMatchObject({ code: 'invalid-cursor' });
});
