import { randomUUID } from 'node:crypto';
import type { Route } from 'playwright-core';
import type { Role } from '#domain/permissions/role';
import { describeWithProgram } from '#tests/support/outside-program';
import type { Visit } from './support/browser';
import { startConsole, signIn, type RunningConsole } from './support/console';
import { soon } from './support/soon';

const id = randomUUID();
const requestId = randomUUID();

/** Each screen, whom it is for, and the request without whose answer it has nothing to show. */
const screens: readonly { path: string; role: Role; request: string }[] = [
  { path: 'month-end', role: 'bookkeeper', request: '**/v1/month-end/periods*' },
  { path: `settlements/${id}`, role: 'bookkeeper', request: `**/v1/settlements/${id}` },
  { path: 'collections', role: 'bookkeeper', request: '**/v1/collections*' },
  { path: 'collections/imports', role: 'bookkeeper', request: '**/v1/imports*' },
  { path: `collections/imports/${id}`, role: 'bookkeeper', request: `**/v1/imports/${id}` },
  { path: 'sites', role: 'bookkeeper', request: '**/v1/sites*' },
  { path: `sites/${id}`, role: 'bookkeeper', request: `**/v1/sites/${id}` },
  { path: `machines/${id}`, role: 'bookkeeper', request: `**/v1/machines/${id}` },
  { path: `agreements/new?site=${id}`, role: 'bookkeeper', request: `**/v1/sites/${id}` },
  { path: 'keys/set-up', role: 'bookkeeper', request: '**/v1/key-codes*' },
  { path: `keys/sites/${id}`, role: 'bookkeeper', request: `**/v1/sites/${id}` },
  { path: 'search?text=heron', role: 'bookkeeper', request: '**/v1/search*' },
  { path: 'tax', role: 'bookkeeper', request: '**/v1/tax-areas*' },
  { path: 'journal', role: 'bookkeeper', request: '**/v1/journal/trial-balance*' },
  { path: 'what-if', role: 'bookkeeper', request: '**/v1/sites*' },
  { path: 'people', role: 'auditor', request: '**/v1/members' },
  { path: 'tokens', role: 'auditor', request: '**/v1/api-tokens*' },
  { path: 'share', role: 'site-manager', request: '**/v1/site-view' },
];

const brokenAnswer = {
  status: 500,
  contentType: 'application/problem+json',
  body: JSON.stringify({
    type: 'about:blank', title: 'Something went wrong on our side', status: 500, code: 'unexpected',
    advice: 'Repeat the request; if it fails again, report the request id.', requestId,
  }),
};

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  const people = new Map<Role, Visit>();
  beforeAll(async () => {
    running = await startConsole();
    for (const role of ['bookkeeper', 'site-manager', 'collector', 'auditor'] as const) {
      const person = await running.visit({ device: role === 'site-manager' ? 'phone' : 'desk' });
      people.set(role, person);
      await person.page.goto(`/operators/${running.api.operator.code}/account`);
      await signIn(person, running.api.operator.as(role));
      await person.page.getByRole('heading', { name: 'Your account' }).waitFor();
    }
  }, 180_000);
  afterAll(() => running.close());

  const as = (role: Role): Visit => {
    const person = people.get(role);
    if (person === undefined) throw new Error(`nobody is signed in as ${role}`);
    return person;
  };
  const address = (path: string) => `/operators/${running.api.operator.code}/${path}`;
  const named = (path: string) => path.replace(id, 'one').replaceAll(/[/?=]/g, '-');

  it.each(screens)('$path says that it is loading, and what went wrong, and tries again', async ({ path, role, request }) => {
    const { page, look } = as(role);
    const held: Route[] = [];
    await page.route(request, (route) => {
      held.push(route);
    });
    await page.goto(address(path));
    // Not before the screen itself is there: until its script has come, something else says that it is loading.
    await soon(async () => expect(held).not.toEqual([]));
    await page.getByRole('status').filter({ hasText: 'Loading' }).first().waitFor();
    expect(await look(`${named(path)}-loading`)).toEqual([]);

    for (const route of held) await route.fulfill(brokenAnswer);
    await page.getByRole('alert').filter({ hasText: 'Something went wrong on our side' }).waitFor();
    expect(await page.getByRole('alert').innerText()).toContain(requestId);
    expect(await look(`${named(path)}-broken`)).toEqual([]);

    await page.unroute(request);
    await page.getByRole('button', { name: 'Try again' }).click();
    await page.getByRole('alert').filter({ hasText: 'Something went wrong on our side' }).waitFor({ state: 'detached' });
  });

  it.each(screens.filter(({ path }) => path.includes(id)))('$path says that there is no such thing, and does not offer to try again', async ({ path, role }) => {
    const { page, look } = as(role);
    await page.goto(address(path));
    await page.getByRole('alert').filter({ hasText: 'There is no such thing here' }).waitFor();
    expect(await page.getByRole('button', { name: 'Try again' }).count()).toBe(0);
    expect(await look(`${named(path)}-unknown`)).toEqual([]);
  });

  // For every screen, gone to within the console: every-screen.test.ts. These are looked at, and come as a page of their own.
  it.each([
    { path: 'month-end/month/2026-10-01', role: 'site-manager' },
    { path: 'share', role: 'auditor' },
    { path: 'tax', role: 'collector' },
  ] as const)('$path is closed to a $role, who is told so without a question to the api', async ({ path, role }) => {
    const { page, look } = as(role);
    const asked: string[] = [];
    const note = (request: { url: () => string }) => asked.push(new URL(request.url()).pathname);
    page.on('request', note);
    await page.goto(address(path));
    await page.getByText('This is not open to your role').waitFor();
    page.off('request', note);
    expect(asked.filter((each) => each.startsWith('/v1/') && each !== '/v1/account')).toEqual([]);
    expect(await look(`${named(path)}-denied`)).toEqual([]);
  });

  it('moves while it waits, and stands still for whoever asked their system for less of that', async () => {
    const { page } = as('bookkeeper');
    const moving = () => page.evaluate<number>("document.getAnimations().filter(({ playState }) => playState === 'running').length");
    const held: Route[] = [];
    await page.route('**/v1/sites*', (route) => {
      held.push(route);
    });
    await page.emulateMedia({ reducedMotion: 'no-preference' });
    await page.goto(address('sites'));
    await page.getByRole('main').getByRole('status').filter({ hasText: 'Loading' }).first().waitFor();
    await soon(async () => expect(await moving()).toBeGreaterThan(0));
    await page.emulateMedia({ reducedMotion: 'reduce' });
    await soon(async () => expect(await moving()).toBe(0));
    await page.unroute('**/v1/sites*');
    for (const route of held) await route.fallback();
  });

  it('says when the server cannot be reached, also for a screen that has not been loaded yet', async () => {
    const { page, context, look } = as('bookkeeper');
    await page.goto(address('sites'));
    await page.getByText('No site has been set up yet.').waitFor();
    await context.setOffline(true);
    await page.getByRole('link', { name: 'Month end' }).click();
    await page.getByRole('alert').filter({ hasText: 'The server cannot be reached' }).waitFor();
    expect(await look('unreachable')).toEqual([]);
    // A browser without a connection still has the files of screens that it showed before, so they are kept from it.
    await page.route('**/assets/*.js', (route) => route.abort());
    await page.getByRole('link', { name: 'Collections' }).click();
    await page.getByRole('heading', { name: 'This screen did not load' }).waitFor();
    expect(await look('screen-missing')).toEqual([]);
    await page.unroute('**/assets/*.js');
    await context.setOffline(false);
    await page.getByRole('link', { name: 'Load it again' }).click();
    await page.getByText('There is no collection here.').waitFor();
  });

  it('a long list of which one page does not come says so, asks once, and goes on when it is asked to', async () => {
    const { page, look } = as('bookkeeper');
    const site = (name: string) => ({ id: randomUUID(), code: name, name, address: ['Main Street 1'], currency: 'USD', timeZone: 'America/Chicago', closedOn: null });
    let asked = 0;
    let isAway = true;
    await page.route('**/v1/sites?*', async (route) => {
      if (!route.request().url().includes('cursor=')) return route.fulfill({ json: { items: [site('Heron Bar')], next: 'more' } });
      asked += 1;
      return isAway ? route.fulfill(brokenAnswer) : route.fulfill({ json: { items: [site('Wren Inn')], next: null } });
    });
    await page.goto(address('sites'));
    await page.getByRole('link', { name: 'Heron Bar' }).waitFor();
    await page.getByRole('alert').filter({ hasText: 'Something went wrong on our side' }).waitFor();
    expect(await look('sites-page-missing')).toEqual([]);
    // Whatever it would ask for by itself it has asked for by now.
    expect(asked).toBe(1);
    isAway = false;
    await page.getByRole('button', { name: 'Try again' }).click();
    await page.getByRole('link', { name: 'Wren Inn' }).waitFor();
    await page.unroute('**/v1/sites?*');
  });

  it('an answer that breaks off on its way is said like none, and leaves what is on the page', async () => {
    const { page } = as('bookkeeper');
    await page.goto(address('month-end'));
    await page.getByRole('heading', { name: 'Month end' }).waitFor();
    await page.route('**/v1/collections*', (route) => route.fulfill({ status: 200, contentType: 'application/json', body: '{"items":[' }));
    await page.getByRole('link', { name: 'Collections' }).click();
    await page.getByRole('alert').filter({ hasText: 'The server gave an answer that makes no sense here' }).waitFor();
    await page.unroute('**/v1/collections*');
    await page.getByRole('button', { name: 'Try again' }).click();
    await page.getByText('There is no collection here.').waitFor();
  });

  it('a form that cannot be told what it has to know says so, keeps what is typed, and is sent once it was told', async () => {
    const { page, look } = as('bookkeeper');
    await page.route('**/v1/operator', (route) => route.fulfill(brokenAnswer));
    await page.goto(address('parties'));
    await page.getByRole('button', { name: 'Add a party' }).first().click();
    const form = page.getByRole('dialog', { name: 'A new party' });
    await form.getByRole('alert').filter({ hasText: 'Something went wrong on our side' }).waitFor();
    await form.getByLabel('Name', { exact: true }).fill('Wren Hospitality');
    let sent = 0;
    page.on('request', (request) => (sent += request.method() === 'POST' && request.url().endsWith('/v1/parties') ? 1 : 0));
    await form.getByRole('button', { name: 'Add a party', exact: true }).click();
    // Out of sight in a small window, it is where somebody is led who presses all the same.
    await soon(async () => expect(await form.locator(':focus').innerText()).toContain('Something went wrong on our side'));
    expect(await look('form-not-told')).toEqual([]);
    expect(sent).toBe(0);
    await page.unroute('**/v1/operator');
    await form.getByRole('button', { name: 'Try again' }).click();
    await form.getByRole('alert').waitFor({ state: 'detached' });
    await form.getByRole('button', { name: 'Add a party', exact: true }).click();
    await page.getByRole('heading', { level: 1, name: 'Wren Hospitality' }).waitFor();
    expect(sent).toBe(1);
  });

  it('where the script does not come, the page says so in three languages', async () => {
    const { page } = as('bookkeeper');
    await page.route('**/assets/*.js', (route) => route.abort());
    await page.goto(address('sites'));
    // After some seconds, which need not be waited for here.
    await page.evaluate('document.getAnimations().forEach((each) => each.finish())');
    await page.getByText('This page is not coming. Check the connection and load it again.').waitFor();
    await page.getByText('Diese Seite kommt nicht an.').waitFor();
    await page.unroute('**/assets/*.js');
  });

  it('knows an address that leads nowhere, and an operator that is not one’s own', async () => {
    const { page, look } = as('bookkeeper');
    for (const path of ['/nowhere', `/operators/${running.api.other.code}/sites`, address('month-end/year/2026-01-01'), address('nowhere')]) {
      await page.goto(path);
      await page.getByRole('heading', { name: 'Nothing here' }).waitFor();
    }
    expect(await look('nowhere')).toEqual([]);
    await page.getByRole('link', { name: 'Go to the start page' }).click();
    await page.getByRole('heading', { name: 'Month end' }).waitFor();
  });

  it('never broke, and never ran into the content security policy', () => {
    expect([...people.values()].flatMap(({ complaints }) => complaints)).toEqual([]);
  });
});
