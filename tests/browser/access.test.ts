import type { Page } from 'playwright-core';
import { TEST_PASSWORD } from '#tests/support/api';
import { describeWithProgram } from '#tests/support/outside-program';
import { makePerson, makeSite, type Made } from '#tests/support/set-up';
import type { Visit } from './support/browser';
import { startConsole, signIn, type RunningConsole } from './support/console';
import { soon } from './support/soon';

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let owner: Visit;
  let page: Page;
  let ruben: Made;

  beforeAll(async () => {
    running = await startConsole();
    const client = running.api.operator.as('owner');
    for (let number = 1; number <= 12; number += 1) await makeSite(client, { code: `A-${number}`, name: `Ferry House ${number}` });
    ruben = await makePerson(client, { name: 'Ruben Talmann' });
    owner = await running.visit({ device: 'desk' });
    page = owner.page;
    await page.goto(`/operators/${running.api.operator.code}`);
    await signIn(owner, client);
    await page.getByRole('heading', { name: 'Month end' }).waitFor();
  }, 180_000);
  afterAll(() => running?.close());

  const dialog = () => page.getByRole('dialog');
  const row = (name: RegExp) => page.getByRole('row', { name });
  const openFromMenu = async (name: string): Promise<void> => {
    await page.getByRole('button', { name: 'The owner' }).click();
    await page.getByRole('link', { name }).click();
    await page.getByRole('heading', { name, level: 1 }).waitFor();
  };
  /** What a dialog shows this one time. */
  const shown = async (label: string): Promise<string> => {
    const value = await dialog().getByLabel(label, { exact: true }).inputValue();
    await page.keyboard.press('Escape');
    expect(await dialog().count()).toBe(1);
    await dialog().getByRole('button', { name: 'I have it' }).click();
    await dialog().waitFor({ state: 'detached' });
    return value;
  };

  it('lists who may sign in, and says what an invitation lacks', async () => {
    await openFromMenu('People who may sign in');
    await row(/The owner \(you\)/).waitFor();
    expect(await row(/The owner \(you\)/).getByRole('button').count()).toBe(0);
    await row(/The site-manager.*1 site/).waitFor();
    await page.getByText('No link is open.').waitFor();
    expect(await owner.look('people')).toEqual([]);
    await page.getByRole('button', { name: 'Invite somebody' }).click();
    await dialog().getByLabel('Role').selectOption({ label: 'Site manager' });
    await dialog().getByText('Sees the collections, settlements and statements of their own sites, and nothing else.').waitFor();
    await dialog().getByRole('button', { name: 'Make the link' }).click();
    await dialog().getByRole('heading', { name: '2 things need a correction' }).waitFor();
    expect(await owner.look('invite-missing')).toEqual([]);
    await dialog().getByRole('link', { name: 'Choose at least one site' }).click();
    await page.keyboard.type('house 11');
    await dialog().getByLabel(/Ferry House 11/).check();
    await soon(async () => expect(await dialog().getByRole('checkbox').count()).toBe(1));
    await dialog().getByLabel('E-mail address').fill('not an address');
    await dialog().getByRole('button', { name: 'Make the link' }).click();
    await dialog().getByRole('heading', { name: 'One thing needs a correction' }).waitFor();
    expect(await dialog().getByLabel('E-mail address').getAttribute('aria-invalid')).toBe('true');
  });

  it('invites, shows the link this one time, and the link works', async () => {
    await dialog().getByLabel('E-mail address').fill('host@ferry-house.example');
    await dialog().getByLabel('Person in the books').selectOption({ label: `Ruben Talmann (${String(ruben['code'])})` });
    await dialog().getByRole('button', { name: 'Make the link' }).click();
    await page.getByRole('heading', { name: 'Link for host@ferry-house.example' }).waitFor();
    expect(await owner.look('invited')).toEqual([]);
    const { hash } = new URL(await shown('Link'));
    await row(/host@ferry-house\.example.*Invitation.*Site manager.*you/).waitFor();
    expect(await owner.look('people-links')).toEqual([]);

    const guest = await running.visit({ device: 'phone' });
    await guest.page.goto(`/link${hash}`);
    await guest.page.getByLabel('Your name').fill('Rosa Ferryman');
    await guest.page.getByLabel('Password').fill(TEST_PASSWORD);
    await guest.page.getByRole('button', { name: 'Accept and sign in' }).click();
    await guest.page.getByRole('heading', { name: 'Ferry House 11' }).waitFor();
    expect(guest.complaints).toEqual([]);
    await guest.context.close();
    await page.reload();
    await row(/Rosa Ferryman.*Site manager.*1 site/).waitFor();
    const { items } = (await running.api.operator.as('owner').get('/v1/members').expect(200)).body as { items: { name: string; personId: string | null }[] };
    expect(items.find(({ name }) => name === 'Rosa Ferryman')?.personId).toBe(ruben['id']);
    await page.getByText('No link is open.').waitFor();
  });

  it('withdraws a link that was not used', async () => {
    const client = running.api.operator.as('owner');
    const made = await client.post('/v1/invitations', { email: 'never@came.example', role: 'auditor' }).expect(201);
    await page.reload();
    await row(/never@came\.example/).getByRole('button', { name: /Withdraw/ }).click();
    await dialog().getByRole('button', { name: 'Withdraw' }).click();
    await page.getByText('No link is open.').waitFor();
    const secret = new URL((made.body as { address: string }).address).hash.slice(1);
    await running.api.anonymous.post('/v1/links/look').send({ secret }).expect(422);
  });

  it('changes a role, keeps what a colleague changed meanwhile, and takes somebody out', async () => {
    await row(/Rosa Ferryman/).getByRole('button', { name: 'Change access Rosa Ferryman' }).click();
    expect(await dialog().getByLabel(/Ferry House 11/).isChecked()).toBe(true);
    await dialog().getByLabel('Role').selectOption({ label: 'Bookkeeper' });
    expect(await owner.look('member-change')).toEqual([]);
    await dialog().getByRole('button', { name: 'Save' }).click();
    await row(/Rosa Ferryman.*Bookkeeper/).waitFor();
    expect(await row(/Rosa Ferryman/).innerText()).not.toContain('site');

    await row(/Rosa Ferryman/).getByRole('button', { name: 'Change access Rosa Ferryman' }).click();
    const client = running.api.operator.as('owner');
    const members = (await client.get('/v1/members').expect(200)).body as { items: { id: string; name: string; revision: number }[] };
    const rosa = members.items.find(({ name }) => name === 'Rosa Ferryman');
    await client.put(`/v1/members/${rosa?.id}`, { role: 'reviewer' }).set('If-Match', `"${rosa?.revision}"`).expect(200);
    await dialog().getByLabel('Role').selectOption({ label: 'Collector' });
    await dialog().getByRole('button', { name: 'Save' }).click();
    await dialog().getByRole('heading', { name: 'A colleague changed this meanwhile' }).waitFor();
    const sides = dialog().getByRole('group', { name: 'Role' });
    expect(await sides.getByRole('radio', { name: /Collector/ }).isChecked()).toBe(true);
    await sides.getByRole('radio', { name: /Reviewer/ }).check();
    expect(await dialog().getByLabel('Role', { exact: true }).inputValue()).toBe('reviewer');
    expect(await owner.look('member-changed-meanwhile')).toEqual([]);
    await dialog().getByRole('button', { name: 'Cancel' }).click();
    await row(/Rosa Ferryman.*Reviewer/).waitFor();

    await row(/Rosa Ferryman/).getByRole('button', { name: 'Remove Rosa Ferryman' }).click();
    expect(await owner.look('member-remove')).toEqual([]);
    await dialog().getByRole('button', { name: 'Remove' }).click();
    await row(/Rosa Ferryman/).waitFor({ state: 'detached' });
  });

  it('gives a link for a new password, and says why not for an account of two operators', async () => {
    await row(/The collector/).getByRole('button', { name: /New password/ }).click();
    await dialog().getByRole('button', { name: 'Make the link' }).click();
    expect(await shown('Link')).toContain('/link#');
    await row(/^collector\S* New password/).waitFor();
    const { operator, other } = running.api;
    const shared = await other.newMember('auditor');
    const made = await operator.as('owner').post('/v1/invitations', { email: shared.email, role: 'auditor' }).expect(201);
    const secret = new URL((made.body as { address: string }).address).hash.slice(1);
    await running.api.anonymous.post('/v1/links/accept-invitation').send({ secret, password: TEST_PASSWORD }).expect(200);
    await page.reload();
    await row(new RegExp(shared.email.replaceAll('.', '\\.'))).getByRole('button', { name: /New password/ }).click();
    await dialog().getByRole('button', { name: 'Make the link' }).click();
    await dialog().getByText('This account also belongs to another operator').waitFor();
    expect(await owner.look('member-shared')).toEqual([]);
    await dialog().getByRole('button', { name: 'Cancel' }).click();
  });

  it('makes a token that works as far as it was marked, and revokes it', async () => {
    await openFromMenu('API tokens');
    await page.getByText('No program has a token.').waitFor();
    expect(await owner.look('tokens-none')).toEqual([]);
    await page.getByRole('button', { name: 'Make a token' }).click();
    await dialog().getByLabel('Read', { exact: true }).uncheck();
    await dialog().getByLabel('Good until').fill('2099-01-01');
    await dialog().getByRole('button', { name: 'Make a token' }).click();
    for (const message of ['Say what it is for', 'Mark at least one thing that it may do']) await dialog().getByRole('link', { name: message }).waitFor();
    expect(await owner.look('token-missing')).toEqual([]);
    await dialog().getByLabel('What it is for').fill('Workshop till');
    await dialog().getByLabel('Read', { exact: true }).check();
    await dialog().getByRole('button', { name: 'Make a token' }).click();
    await dialog().getByRole('link', { name: 'A token lives 400 days at most.' }).waitFor();
    const nextMonth = new Date(Date.now() + 30 * 86_400_000).toISOString().slice(0, 10);
    await dialog().getByLabel('Good until').fill(nextMonth);
    await dialog().getByRole('button', { name: 'Make a token' }).click();
    await page.getByRole('heading', { name: 'Token for Workshop till' }).waitFor();
    expect(await owner.look('token-made')).toEqual([]);
    const token = await shown('Token');
    const ask = (path: string) => running.api.anonymous.get(path).set('Authorization', `Bearer ${token}`);
    await ask('/v1/sites').expect(200);
    await page.reload();
    await row(/Workshop till.*Bookkeeper.*Read/).waitFor();
    expect(await owner.look('tokens')).toEqual([]);
    await row(/Workshop till/).getByRole('button', { name: /Revoke/ }).click();
    await dialog().getByRole('button', { name: 'Revoke' }).click();
    await row(/Workshop till.*Revoked on/).waitFor();
    expect(await row(/Workshop till/).getByRole('button').count()).toBe(0);
    await ask('/v1/sites').expect(401);
    expect(owner.complaints).toEqual([]);
  });

  it.each([{ device: 'phone', dark: false }, { device: 'desk', dark: true }] as const)('shows an auditor both without commands at $device size, dark: $dark', async ({ device, dark }) => {
    const person = await running.visit({ device, dark });
    await person.page.goto(`/operators/${running.api.operator.code}/people`);
    await signIn(person, running.api.operator.as('auditor'));
    await person.page.getByRole('row', { name: /^The owner/ }).waitFor();
    expect(await person.page.getByRole('main').getByRole('button').count()).toBe(0);
    expect(await person.look('people')).toEqual([]);
    await person.page.goto(`/operators/${running.api.operator.code}/tokens`);
    await person.page.getByRole('row', { name: /Workshop till.*by a colleague|Workshop till.*by The owner/ }).waitFor();
    expect(await person.page.getByRole('main').getByRole('button').count()).toBe(0);
    expect(await person.look('tokens')).toEqual([]);
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });
});
