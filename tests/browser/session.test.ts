import { authenticator } from 'otplib';
import type { Page } from 'playwright-core';
import { TEST_PASSWORD } from '#tests/support/api';
import { describeWithProgram } from '#tests/support/outside-program';
import { devices } from './support/browser';
import { startConsole, signIn, type RunningConsole } from './support/console';
import { soon } from './support/soon';

/** Id of the element that has the focus. */
const focused = (page: Page): Promise<string> => page.evaluate<string>('document.activeElement.id');

/** Whether everything in an element ends before the window does. */
const reachOf = (page: Page, selector: string): Promise<unknown> =>
  page.evaluate<unknown>(`(() => {
    const boxes = [...document.querySelectorAll(${JSON.stringify(`${selector}, ${selector} *`)})].map((each) => each.getBoundingClientRect());
    return { left: boxes.every(({ left }) => left >= 0), right: boxes.every(({ right }) => right <= document.documentElement.clientWidth) };
  })()`);

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  beforeAll(async () => {
    running = await startConsole();
  }, 180_000);
  afterAll(() => running.close());

  /** The code that the person's authenticator app would show. Each code is good for once, so time goes on first. */
  const codeOf = (secret: string): string => {
    running.api.clock.advance({ milliseconds: 60_000 });
    return authenticator.clone({ epoch: running.api.clock.now().getTime() }).generate(secret);
  };

  it('says what is missing and what was wrong, and takes the focus there', async () => {
    const person = await running.visit({ device: 'desk' });
    const { page } = person;
    await page.goto('/');
    await page.getByRole('button', { name: 'Sign in' }).click();
    await page.getByRole('heading', { name: '2 things need a correction' }).waitFor();
    await soon(async () => expect(await page.locator('[role=alert]:focus').count()).toBe(1));
    expect(await person.look('sign-in-missing')).toEqual([]);
    await page.getByRole('link', { name: 'Enter your password' }).click();
    await soon(async () => expect(await focused(page)).toBe('password'));

    await page.getByLabel('E-mail address').fill('nobody@operator.example');
    await page.getByLabel('Password').fill('not the password at all');
    await page.keyboard.press('Enter');
    await page.getByRole('link', { name: 'E-mail address or password is not right' }).waitFor();
    expect(await page.getByLabel('E-mail address').inputValue()).toBe('nobody@operator.example');
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });

  it('brings people back to where they wanted to go, and lets them out again', async () => {
    const person = await running.visit({ device: 'phone' });
    const { page } = person;
    const bookkeeper = running.api.operator.as('bookkeeper');
    const sites = `/operators/${running.api.operator.code}/sites?find=bar`;
    await page.goto(sites);
    await page.getByRole('heading', { name: 'Sign in' }).waitFor();
    expect(await person.look('sign-in')).toEqual([]);
    await signIn(person, bookkeeper);
    await page.getByRole('heading', { name: 'Sites' }).waitFor();
    expect(new URL(page.url()).pathname + new URL(page.url()).search).toBe(sites);

    await page.getByRole('button', { name: 'The bookkeeper' }).click();
    expect(await person.look('account-menu')).toEqual([]);
    await page.setViewportSize({ width: 320, height: 640 });
    expect(await reachOf(page, '[popover]')).toEqual({ left: true, right: true });
    await page.setViewportSize(devices.phone.viewport);
    await page.getByRole('button', { name: 'Deutsch' }).click();
    await page.getByRole('heading', { name: 'Standorte' }).waitFor();
    expect(await page.locator('html').getAttribute('lang')).toBe('de');
    expect(await person.look('sites-german')).toEqual([]);
    // Another browser speaks it as well: the choice is kept with the account.
    const elsewhere = await running.visit({ device: 'desk' });
    await elsewhere.page.goto(sites);
    await signIn(elsewhere, bookkeeper);
    await elsewhere.page.getByRole('heading', { name: 'Standorte' }).waitFor();
    await elsewhere.page.getByRole('button', { name: 'The bookkeeper' }).click();
    await elsewhere.page.getByRole('button', { name: 'English' }).click();
    await elsewhere.page.getByRole('heading', { name: 'Sites' }).waitFor();
    expect(elsewhere.complaints).toEqual([]);
    await elsewhere.context.close();
    await page.getByRole('button', { name: 'The bookkeeper' }).click();
    await page.getByRole('button', { name: 'Abmelden' }).click();
    await page.getByRole('heading', { name: 'Anmelden' }).waitFor();
    await page.getByRole('button', { name: 'English' }).click();
    await page.getByRole('heading', { name: 'Sign in' }).waitFor();
    await page.goto(sites);
    await page.getByRole('heading', { name: 'Sign in' }).waitFor();
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });

  it('finds the operator whichever way its code is written, and keeps the rest of the address', async () => {
    const person = await running.visit({ device: 'desk' });
    const { page } = person;
    const { code, as } = running.api.operator;
    await page.goto(`/operators/${code.toUpperCase()}/sites?find=bar`);
    await signIn(person, as('bookkeeper'));
    await page.getByRole('heading', { name: 'Sites' }).waitFor();
    await page.waitForURL(`**/operators/${code}/sites?find=bar`);
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });

  it.each([['collector', 'Today'], ['custodian', 'Keys'], ['bookkeeper', 'Month end'], ['auditor', 'Month end']] as const)(
    'brings the %s to where their work begins',
    async (role, heading) => {
      const person = await running.visit({ device: 'phone' });
      await person.page.goto('/');
      await signIn(person, await running.api.operator.newMember(role));
      await person.page.getByRole('heading', { name: heading, level: 1 }).waitFor();
      expect(person.complaints).toEqual([]);
      await person.context.close();
    },
  );

  it('sets up a second factor and asks for it at the next sign-in', async () => {
    const person = await running.visit({ device: 'desk' });
    const { page } = person;
    const auditor = running.api.operator.as('auditor');
    await page.goto(`/operators/${running.api.operator.code}/account`);
    await signIn(person, auditor);
    await page.getByRole('heading', { name: 'Second factor' }).waitFor();
    await page.locator('#factor-password').fill(TEST_PASSWORD);
    await page.getByRole('button', { name: 'Set up a second factor' }).click();
    await page.getByRole('img', { name: /QR code/ }).waitFor();
    expect(await person.look('second-factor')).toEqual([]);
    const secret = (await page.locator('p code').innerText()).replaceAll(' ', '');
    await page.getByLabel('Code').fill(codeOf(secret));
    await page.getByRole('button', { name: 'Confirm' }).click();
    await page.getByText('Keep these recovery codes').waitFor();
    expect(await page.locator('li code').count()).toBe(10);
    await page.getByRole('button', { name: 'I have kept them' }).click();
    await page.getByText('A second factor is set up.').waitFor();

    await person.context.clearCookies();
    await page.goto('/');
    await signIn(person, auditor);
    await page.getByLabel('Code').fill('000000');
    await page.keyboard.press('Enter');
    await page.getByRole('link', { name: /The code is not right/ }).waitFor();
    await page.getByLabel('Code').fill(codeOf(secret));
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: 'Month end' }).waitFor();
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });

  it('takes an invitation, and lets somebody of two operators go from one to the other', async () => {
    const { operator, other } = running.api;
    const bookkeeper = await operator.newMember('bookkeeper');
    const invited = await other.as('owner').post('/v1/invitations', { email: bookkeeper.email, role: 'auditor' }).expect(201);
    const { hash } = new URL((invited.body as { address: string }).address);
    const person = await running.visit({ device: 'desk' });
    const { page } = person;
    await page.goto(`/link${hash}`);
    await page.getByRole('heading', { name: 'You are invited' }).waitFor();
    await page.waitForURL(({ hash }) => hash === '');
    expect(await person.look('invitation')).toEqual([]);
    await page.getByLabel('Password').fill(TEST_PASSWORD);
    await page.getByRole('button', { name: 'Accept and sign in' }).click();

    await page.getByRole('heading', { name: 'Choose an operator' }).waitFor();
    expect(await person.look('choose-operator')).toEqual([]);
    await page.locator(`a[href$="${operator.code}"]`).click();
    await page.waitForURL(`**/${operator.code}/**`);
    await page.getByRole('heading', { name: 'Month end' }).waitFor();
    await page.getByRole('button', { name: 'The bookkeeper' }).click();
    await page.getByRole('navigation', { name: 'Other operators' }).getByRole('link').click();
    // The heading is the same on both sides.
    await page.waitForURL(`**/${other.code}/**`);
    await page.getByRole('heading', { name: 'Month end' }).waitFor();
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });

  it('goes on where the session ended, with everything that was entered', async () => {
    const person = await running.visit({ device: 'desk' });
    const { page } = person;
    const bookkeeper = await running.api.operator.newMember('bookkeeper');
    await page.goto(`/operators/${running.api.operator.code}/collections/imports`);
    await signIn(person, bookkeeper);
    await page.getByLabel('CSV file').setInputFiles({ name: 'october.csv', mimeType: 'text/csv', buffer: Buffer.from('site,collected_on,machine,coin\nS-1,2026-10-14,M-1,"1,00"\n') });
    await page.getByLabel('Comma: 1234,50').check();
    await person.context.clearCookies();
    await page.getByRole('button', { name: 'Upload and check' }).click();

    const again = page.getByRole('dialog', { name: 'Sign in again' });
    await again.waitFor();
    expect(await person.look('sign-in-again')).toEqual([]);
    expect(await page.getByLabel('Comma: 1234,50').isChecked()).toBe(true);
    await again.getByLabel('Password').fill('a wrong one at first');
    await page.keyboard.press('Enter');
    await again.getByRole('alert').waitFor();
    // Looking the password up in another window asks nothing whose answer would lead away from here.
    const asked: string[] = [];
    page.on('request', (request) => asked.push(new URL(request.url()).pathname));
    await page.evaluate("window.dispatchEvent(new Event('visibilitychange'))");
    await again.getByLabel('Password').fill(TEST_PASSWORD);
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: 'october.csv' }).waitFor();
    expect(asked[0]).not.toBe('/v1/account');

    // The same about the account, which belongs to no operator.
    await page.goto(`/operators/${running.api.operator.code}/account`);
    await page.getByLabel('Current password').fill(TEST_PASSWORD);
    await page.getByLabel('New password').fill('another long enough password 7');
    await person.context.clearCookies();
    await page.getByRole('button', { name: 'Set the new password' }).click();
    await again.getByLabel('Password').fill(TEST_PASSWORD);
    await page.keyboard.press('Enter');
    await page.getByText('The password is changed.').waitFor();
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });
});
