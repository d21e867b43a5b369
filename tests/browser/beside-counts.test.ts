import { writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { describeWithProgram } from '#tests/support/outside-program';
import type { Visit } from './support/browser';
import { makeAreaWithTax, makeSharedSite, months } from './support/books';
import { startConsole, signIn, type RunningConsole } from './support/console';

const { last } = months;

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let bookkeeper: Visit;
  let owner: Visit;

  beforeAll(async () => {
    running = await startConsole();
    const { operator } = running.api;
    const area = await makeAreaWithTax(operator.as('owner'));
    await makeSharedSite(operator.as('owner'), { code: 'QUAY', name: 'Quay Tavern', taxAreaId: area.id });
    bookkeeper = await running.visit({ device: 'desk' });
    await bookkeeper.page.goto(`/operators/${operator.code}/collections`);
    await signIn(bookkeeper, operator.as('bookkeeper'));
    owner = await running.visit({ device: 'phone', dark: true });
    await owner.page.goto(`/operators/${operator.code}/collections/break-ins`);
    await signIn(owner, operator.as('owner'));
  }, 180_000);
  afterAll(() => running?.close());

  const dialogOf = (page: Page) => page.getByRole('dialog');
  const send = async (page: Page, name: string): Promise<void> => {
    await dialogOf(page).getByRole('button', { name, exact: true }).click();
    await dialogOf(page).waitFor({ state: 'detached' });
  };

  it('records a break-in, and says which fields are missing', async () => {
    const { page } = bookkeeper;
    const dialog = dialogOf(page);
    await page.getByRole('main').getByRole('link', { name: 'Break-ins' }).click();
    await page.getByText('No break-in is recorded.').waitFor();
    await page.getByRole('button', { name: 'Record a break-in' }).click();
    await dialog.getByLabel('Day on which it was found').fill('');
    await dialog.getByRole('button', { name: 'Record a break-in' }).click();
    await dialog.getByRole('heading', { name: '4 things need a correction' }).waitFor();
    await dialog.getByRole('link', { name: 'Choose a machine' }).click();
    expect(await page.locator(':focus').evaluate((field) => field.getAttribute('list') !== null)).toBe(true);
    expect(await bookkeeper.look('break-in-missing')).toEqual([]);
    await dialog.getByLabel('Machine').fill('QUAY-1');
    await dialog.getByLabel('Day on which it was found').fill(last.day(9));
    await dialog.getByLabel('Stolen cash, in USD').fill('85.50');
    await dialog.getByLabel('What happened').fill('The cash door was forced open');
    await dialog.getByLabel('Booked under another day').fill(last.day(10));
    await dialog.getByRole('button', { name: 'Record a break-in' }).click();
    await dialog.getByRole('link', { name: 'Enter a reason of at least three characters' }).waitFor();
    await dialog.getByLabel('Why it is booked to another day').fill('Found after closing time');
    await send(page, 'Record a break-in');
    await page.getByRole('row', { name: /QUAY-1 QUAY \$85\.50 The cash door was forced open/ }).waitFor();
    expect(await bookkeeper.look('break-ins')).toEqual([]);
    expect(bookkeeper.complaints).toEqual([]);
  });

  it('lets somebody else correct it, on a phone, and keeps the first figure in sight', async () => {
    const { page } = owner;
    await page.reload();
    await page.getByRole('button', { name: /^Correct the break-in QUAY-1/ }).click();
    await dialogOf(page).getByLabel('Stolen cash, in USD').fill('80');
    await dialogOf(page).getByLabel('Reason').fill('Coins were found beside the machine');
    expect(await owner.look('break-in-correct')).toEqual([]);
    await send(page, 'Correct the break-in');
    await page.getByRole('row', { name: /\$80\.00.*in the place of an earlier figure, by you: Coins were found beside the machine/ }).waitFor();
    await page.getByRole('row', { name: /\$85\.50.*corrected/ }).waitFor();
    expect(await page.getByRole('button', { name: /^Correct the break-in QUAY-1/ }).count()).toBe(1);
    expect(await owner.look('break-ins')).toEqual([]);
    expect(owner.complaints).toEqual([]);
  });

  it('enters card takings one after the other, and keeps what was typed when a day is taken', async () => {
    const { page } = bookkeeper;
    const dialog = dialogOf(page);
    await page.getByRole('banner').getByRole('link', { name: 'Collections' }).click();
    await page.getByRole('main').getByRole('link', { name: 'Card takings' }).click();
    await page.getByText('No card takings are recorded.').waitFor();
    await page.getByRole('button', { name: 'Enter card takings' }).click();
    await dialog.getByLabel('Machine').fill('QUAY-2');
    await dialog.getByLabel('Day', { exact: true }).fill(last.day(3));
    await dialog.getByLabel('Taken by card, in USD').fill('31.25');
    await dialog.getByRole('button', { name: 'Record them and enter more' }).click();
    await dialog.getByText('The card takings of QUAY-2 are in the books.').waitFor();
    await dialog.getByLabel('Taken by card, in USD').fill('12');
    await dialog.getByLabel('Card refunds and charge-backs, in USD (optional)').fill('2');
    await dialog.getByRole('button', { name: 'Record them', exact: true }).click();
    await dialog.getByRole('heading', { name: 'One thing needs a correction' }).waitFor();
    expect(await dialog.getByLabel('Taken by card, in USD').inputValue()).toBe('12');
    expect(await bookkeeper.look('card-takings-twice')).toEqual([]);
    await dialog.getByLabel('Day', { exact: true }).fill(last.day(4));
    await send(page, 'Record them');
    await page.getByRole('row', { name: /QUAY-2 QUAY \$12\.00 \$2\.00/ }).waitFor();
    expect(await bookkeeper.look('card-takings')).toEqual([]);
  });

  it('records a file of them, or says in which line and column it cannot', async () => {
    const { page } = bookkeeper;
    const dialog = dialogOf(page);
    const path = join(tmpdir(), `cards-${process.pid}.csv`);
    await page.getByRole('button', { name: 'Record a file' }).click();
    await writeFile(path, `machine,day,gross\nQUAY-1,${last.day(5)},20.00\nQUAY-9,${last.day(5)},much\n`);
    await dialog.getByLabel('CSV file').setInputFiles(path);
    await dialog.getByRole('button', { name: 'Record them' }).click();
    await dialog.getByRole('link', { name: /^Line 3, machine: / }).waitFor();
    expect(await bookkeeper.look('card-takings-file')).toEqual([]);
    await writeFile(path, `machine,day,gross\nQUAY-1,${last.day(5)},20.00\nQUAY-2,${last.day(5)},18.75\n`);
    // Put right under its old name, and chosen once more, as people do.
    const choosing = page.waitForEvent('filechooser');
    await dialog.getByLabel('CSV file').click();
    await (await choosing).setFiles(path);
    await send(page, 'Record them');
    await page.getByText('2 reports were recorded.').waitFor();
    await page.getByRole('row', { name: /QUAY-2 QUAY \$18\.75/ }).waitFor();
    expect(bookkeeper.complaints).toEqual([]);
  });

  it('narrows both lists to a site by the address', async () => {
    const { page } = bookkeeper;
    await page.getByLabel('Site', { exact: true }).selectOption({ label: 'Quay Tavern (QUAY)' });
    await page.waitForURL(/cards\?site=[0-9a-f-]{36}$/);
    await page.getByRole('row', { name: /QUAY-2 QUAY \$18\.75/ }).waitFor();
    // On paper: what the list was narrowed to, and neither the way to other screens nor anything to press.
    await page.emulateMedia({ media: 'print' });
    expect(await page.getByRole('banner').isVisible()).toBe(false);
    expect(await page.getByRole('main').getByRole('button').filter({ visible: true }).count()).toBe(0);
    expect(await page.evaluate<string>("getComputedStyle(document.querySelector('main select')).borderTopWidth")).toBe('0px');
    await page.emulateMedia({ media: null });
    await page.goBack();
    await page.waitForURL(/cards$/);
    expect(bookkeeper.complaints).toEqual([]);
  });
});
