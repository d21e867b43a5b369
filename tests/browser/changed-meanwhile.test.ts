import { describeWithProgram } from '#tests/support/outside-program';
import { etag, makeRunningSite, makeSite, type Made } from '#tests/support/set-up';
import type { Visit } from './support/browser';
import { startConsole, signIn, type RunningConsole } from './support/console';
import { soon } from './support/soon';

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let site: Made;
  const people = new Map<'owner' | 'bookkeeper', Visit>();

  beforeAll(async () => {
    running = await startConsole();
    const { operator } = running.api;
    site = await makeSite(operator.as('owner'), { name: 'The Copper Kettle', address: ['12 Harbour Lane', 'Quillham'] });
    for (const role of ['owner', 'bookkeeper'] as const) {
      const person = await running.visit({ device: 'desk' });
      people.set(role, person);
      await person.page.goto(`/operators/${operator.code}/sites/${site.id}`);
      await signIn(person, operator.as(role));
      await person.page.getByRole('heading', { name: 'The Copper Kettle', level: 1 }).waitFor();
    }
  }, 180_000);
  afterAll(() => running?.close());

  const as = (role: 'owner' | 'bookkeeper'): Visit => {
    const person = people.get(role);
    if (person === undefined) throw new Error(`nobody is signed in as ${role}`);
    return person;
  };
  const opened = async (role: 'owner' | 'bookkeeper') => {
    const { page } = as(role);
    await page.getByRole('main').getByRole('button', { name: /^Change details/ }).click();
    const dialog = page.getByRole('dialog');
    await dialog.getByLabel('Name').waitFor();
    return dialog;
  };
  const stored = async (): Promise<Made> => (await running.api.operator.as('owner').get(`/v1/sites/${site.id}`).expect(200)).body as Made;

  it('shows both sides of a site that a colleague changed meanwhile, loses nothing, and saves what was chosen', async () => {
    const [mine, theirs] = [await opened('owner'), await opened('bookkeeper')];
    await theirs.getByLabel('Name').fill('The Old Kettle');
    await theirs.getByLabel('Address').fill('3 Ferry Steps\nQuillham');
    await theirs.getByRole('button', { name: 'Save', exact: true }).click();
    await theirs.waitFor({ state: 'detached' });

    await mine.getByLabel('Name').fill('Kettle & Quay');
    await mine.getByRole('button', { name: 'Save', exact: true }).click();
    const notice = mine.getByRole('alert');
    await notice.getByRole('heading', { name: 'A colleague changed this meanwhile' }).waitFor();
    await soon(async () => expect(await as('owner').page.locator('[role=alert]:focus').count()).toBe(1));
    const side = (field: string, whose: RegExp) => notice.getByRole('group', { name: field }).getByRole('radio', { name: whose });
    // What only they changed is theirs at first; what both changed stays as it was typed.
    expect(await side('Address', /3 Ferry Steps/).isChecked()).toBe(true);
    expect(await side('Name', /Kettle & Quay/).isChecked()).toBe(true);
    expect(await mine.getByLabel('Address', { exact: true }).inputValue()).toBe('3 Ferry Steps\nQuillham');
    expect(await notice.getByRole('group').count()).toBe(2);
    expect(await as('owner').look('changed-meanwhile')).toEqual([]);

    await side('Name', /The Old Kettle/).check();
    expect(await mine.getByLabel('Name', { exact: true }).inputValue()).toBe('The Old Kettle');
    await side('Address', /12 Harbour Lane/).check();
    expect(await mine.getByLabel('Address', { exact: true }).inputValue()).toBe('12 Harbour Lane\nQuillham');
    await side('Name', /Kettle & Quay/).check();
    await side('Address', /3 Ferry Steps/).check();
    await mine.getByRole('button', { name: 'Save', exact: true }).click();
    await mine.waitFor({ state: 'detached' });
    expect(await stored()).toMatchObject({ name: 'Kettle & Quay', address: ['3 Ferry Steps', 'Quillham'] });
  });

  it('asks again where it has changed once more, and says so where both typed the same', async () => {
    const { operator } = running.api;
    const dialog = await opened('owner');
    await dialog.getByLabel('Name').fill('Kettle by the Quay');
    for (const name of ['First', 'Second', 'Kettle by the Quay']) {
      await operator.as('bookkeeper').patch(`/v1/sites/${site.id}`, { name }).set('If-Match', etag(await stored())).expect(200);
      await dialog.getByRole('button', { name: 'Save', exact: true }).click();
      const notice = dialog.getByRole('alert');
      if (name === 'Kettle by the Quay') await notice.getByText('It says by now what you typed.').waitFor();
      else await notice.getByRole('radio', { name: new RegExp(name) }).waitFor();
    }
    await dialog.getByRole('button', { name: 'Save', exact: true }).click();
    await dialog.waitFor({ state: 'detached' });
    expect(await stored()).toMatchObject({ name: 'Kettle by the Quay' });
  });

  it('does the same for the settings of the office, which stay open: what one saves oneself is no conflict', async () => {
    const { operator } = running.api;
    const { page, look } = as('owner');
    const office = async () => (await operator.as('owner').get('/v1/operator').expect(200)).body as Made;
    await page.goto(`/operators/${operator.code}/set-up/office`);
    for (const line of ['1 Depot Road', '2 Depot Road']) {
      await page.getByLabel('Address', { exact: true }).fill(line);
      // What was said of the save before stands there still: the form that begins anew tells of this one.
      const before = await page.getByLabel('Address', { exact: true }).elementHandle();
      await page.getByRole('button', { name: 'Save', exact: true }).click();
      await before?.waitForElementState('hidden');
      await page.getByText('Saved.').waitFor();
      expect(await office()).toMatchObject({ addressLines: [line] });
    }
    await page.getByLabel('Address', { exact: true }).fill('3 Depot Road');
    await operator.as('owner').patch('/v1/operator', { paper: 'A4', addressLines: ['9 Depot Road'] }).set('If-Match', etag(await office())).expect(200);
    await page.getByRole('button', { name: 'Save', exact: true }).click();
    const notice = page.getByRole('alert');
    await notice.getByRole('radio', { name: /9 Depot Road/ }).check();
    expect(await page.getByLabel('Address', { exact: true }).inputValue()).toBe('9 Depot Road');
    expect(await page.getByLabel('Paper of statements', { exact: true }).inputValue()).toBe('A4');
    expect(await look('changed-meanwhile-office')).toEqual([]);
    await notice.getByRole('radio', { name: /3 Depot Road/ }).check();
    await page.getByRole('button', { name: 'Save', exact: true }).click();
    await notice.waitFor({ state: 'detached' });
    expect(await office()).toMatchObject({ addressLines: ['3 Depot Road'], paper: 'A4' });
  });

  it('sends the end of an agreement that one keeps to, though a colleague has taken the end back', async () => {
    const { operator } = running.api;
    const owner = operator.as('owner');
    const { site: ended, agreement } = await makeRunningSite(owner);
    const path = `/v1/agreements/${agreement.id}`;
    const now = async () => (await owner.get(path).expect(200)).body as Made;
    await owner.post(`${path}/end`, { endedOn: '2025-03-01' }).set('If-Match', etag(await now())).expect(200);
    const { page } = as('owner');
    await page.goto(`/operators/${operator.code}/sites/${ended.id}`);
    await page.getByRole('button', { name: /^Change code or parties/ }).click();
    const dialog = page.getByRole('dialog');
    const end = dialog.getByLabel('First day on which it no longer holds', { exact: true });
    await end.fill('2025-04-01');
    await operator.as('bookkeeper').patch(path, { endedOn: null }).set('If-Match', etag(await now())).expect(200);
    await dialog.getByRole('button', { name: 'Save', exact: true }).click();
    const sides = dialog.getByRole('alert').getByRole('group', { name: 'First day on which it no longer holds' });
    await sides.getByRole('radio', { name: /Apr/ }).waitFor();
    expect(await sides.getByRole('radio', { name: /Apr/ }).isChecked()).toBe(true);
    expect(await end.inputValue()).toBe('2025-04-01');
    await dialog.getByRole('button', { name: 'Save', exact: true }).click();
    await dialog.waitFor({ state: 'detached' });
    expect(await now()).toMatchObject({ endedOn: '2025-04-01' });
  });
});
