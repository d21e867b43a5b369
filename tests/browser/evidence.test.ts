import { readFileSync } from 'node:fs';
import type { Consistency, EvidenceHead } from '#contracts/evidence';
import { sendDailyHeads } from '#backoffice/evidence/send-heads';
import { readHeld, verifyHeld } from '#command/verify-log';
import { verifyConsistency } from '#domain/evidence/proof';
import { onConnection } from '#tests/support/connection';
import { keyBooks } from '#tests/support/keys';
import { describeWithProgram } from '#tests/support/outside-program';
import { signIn, startConsole, type RunningConsole } from './support/console';
import { soon } from './support/soon';

// The owner sees that nothing was dropped since a copy went outside, hands the proof on, and is told where the log was rewritten.
describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  beforeAll(async () => {
    running = await startConsole();
  }, 180_000);
  afterAll(() => running?.close());

  const head = async () => (await running.api.operator.as('owner').get('/v1/evidence/head').expect(200)).body as EvidenceHead;
  const bytes = (hex: string): Buffer => Buffer.from(hex, 'hex');
  const headOf = ({ size, root }: { size: number; root: string }) => ({ size, root: bytes(root) });

  it('holds a copy from outside against the log, and gives the proof to hand on', async () => {
    const { api } = running;
    const { operator } = api;
    const owner = await running.visit({ device: 'phone' });
    const { page } = owner;
    await page.goto(`/operators/${operator.code}/evidence`);
    await signIn(owner, operator.as('owner'));
    await page.getByRole('heading', { name: 'Proof of the log' }).waitFor();
    await page.getByText('The log has no entry yet.').waitFor();
    expect(await owner.look('evidence-empty')).toEqual([]);

    const keys = keyBooks(operator);
    const [cut, safe] = [await keys.cut({ class: 'access', code: 'DOOR-1' }), await keys.store('SAFE')];
    const make = (number: string) => operator.as('custodian').post('/v1/key-copies', { keyCodeId: cut.id, numbers: [number], storeId: safe, reason: 'New lock' }).expect(201);
    for (const number of ['D-1', 'D-2', 'D-3']) await make(number);
    const mails: string[] = [];
    await sendDailyHeads(api.backoffice, { send: async ({ text }) => void mails.push(text), onTrouble: (error) => { throw error; } });
    const held = await head();
    expect(held.size).toBe(3);
    for (const number of ['D-4', 'D-5']) await make(number);
    await page.reload();
    await page.getByText(/^5 entries, the last of /).waitFor();
    expect(await owner.look('evidence')).toEqual([]);

    // What is typed is held against the log, not what the log says of itself.
    const entries = page.getByLabel('Entries');
    const root = page.getByLabel('Log head', { exact: true });
    await page.getByRole('button', { name: 'Check', exact: true }).click();
    await page.getByRole('link', { name: 'Enter all 64 digits of the log head, none but 0 to 9 and a to f' }).click();
    await soon(async () => expect(await page.locator(':focus').getAttribute('id')).toBe(await root.getAttribute('id')));
    await entries.fill(String(held.size));
    await root.fill((held.root.toUpperCase().match(/../g) ?? []).join(' '));
    await page.getByRole('button', { name: 'Check', exact: true }).click();
    await page.getByText('Nothing was dropped. The first 3 entries are as they were when this copy was made; 2 entries came after.').waitFor();
    expect(await owner.look('evidence-fits')).toEqual([]);
    const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Download the proof' }).click()]);
    const proof = JSON.parse(readFileSync(await download.path(), 'utf8')) as Consistency;
    expect(proof.newer).toEqual({ size: 5, root: (await head()).root });
    expect(verifyConsistency({ older: headOf(held), newer: headOf(proof.newer), proof: proof.proof.map(bytes) })).toBe(true);

    // The file for somebody outside has the command that the server takes.
    const [copy] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Download a copy for somebody outside' }).click()]);
    const command = /npm run verify-log -- (.*)$/m.exec(readFileSync(await copy.path(), 'utf8'))?.[1] ?? '';
    expect(await verifyHeld(api.db.database, await readHeld(command.split(' ')))).toMatchObject({ fits: true });

    await page.getByText(/^3 entries, to 2 addresses$/).waitFor();
    await page.getByRole('button', { name: /^Check this copy/ }).click();
    await page.getByText('Nothing was dropped.').nth(1).waitFor();

    // What was asked of these figures comes when they are others already: it is not said of those.
    let answer = (): void => undefined;
    const isHeld = new Promise<void>((resolve) => {
      answer = resolve;
    });
    await page.route('**/v1/evidence/head', async (route) => {
      await isHeld;
      await route.continue();
    });
    await Promise.all([page.waitForRequest('**/v1/evidence/head'), page.getByRole('button', { name: 'Check', exact: true }).click()]);
    await entries.fill(String(held.size + 1));
    const answered = page.waitForResponse(/\/v1\/evidence\/consistency/);
    answer();
    await answered;
    await page.getByRole('button', { name: 'Check', exact: true }).waitFor();
    expect(await page.getByText('Nothing was dropped.').count()).toBe(1);
    await page.unroute('**/v1/evidence/head');
    await entries.fill(String(held.size));

    // One digit is another: nothing is claimed of the log before the figures were looked at again.
    await root.fill(`${held.root.startsWith('0') ? '1' : '0'}${held.root.slice(1)}`);
    expect(await page.getByText('Nothing was dropped.').count()).toBe(1);
    await page.getByRole('button', { name: 'Check', exact: true }).click();
    await page.getByText(/^This copy does not fit the log\. Look first whether both figures are typed as they stand/).waitFor();
    await page.getByText(`npm run verify-log -- --operator ${operator.code.toUpperCase()} --size 3`).waitFor();
    expect(await owner.look('evidence-differs')).toEqual([]);

    // The end is cut off behind the program's back.
    await onConnection(api.db.urls.superuser, async (client) => {
      await client.query('ALTER TABLE evidence_leaf DISABLE TRIGGER ALL; ALTER TABLE evidence_head DISABLE TRIGGER ALL');
      await client.query('DELETE FROM evidence_leaf WHERE leaf_index >= 2');
      await client.query('DELETE FROM evidence_head WHERE size > 2');
    });
    await root.fill(held.root);
    await page.getByRole('button', { name: 'Check', exact: true }).click();
    await page.getByText(/The copy covers 3 entries, and the log has only 2\./).waitFor();
    expect(owner.complaints).toEqual([]);
    await owner.context.close();
  }, 180_000);

  it('stands at desk width, where the menu under the name leads to it', async () => {
    const owner = await running.visit({ device: 'desk' });
    const { page } = owner;
    await page.goto(`/operators/${running.api.operator.code}/account`);
    await signIn(owner, running.api.operator.as('owner'));
    await page.getByRole('button', { name: 'The owner' }).click();
    await page.getByRole('link', { name: 'Proof of the log' }).click();
    await page.getByRole('heading', { name: 'What this proves, and what it does not' }).waitFor();
    await page.getByText(/entr(y|ies), the last of/).waitFor();
    expect(await owner.look('evidence')).toEqual([]);
    expect(owner.complaints).toEqual([]);
    await owner.context.close();
  }, 180_000);
});
