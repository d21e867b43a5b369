import type { Page } from 'playwright-core';
import type { OpenItem } from '#contracts/open-item';
import type { SiteAccount } from '#contracts/site-account';
import { describeWithProgram } from '#tests/support/outside-program';
import { makeTaxArea } from '#tests/support/set-up';
import { accept, collect, issueMonth, makeSharedSite, months, todayAtSites } from './support/books';
import type { Device, Visit } from './support/browser';
import { startConsole, signIn, type RunningConsole } from './support/console';
import { onPaper } from './support/paper';
import { soon } from './support/soon';

const { last } = months;
/** Of the sites, where nobody pays before a statement is in the books. */
let today: string;
/** The statements are of the last day of last month: what is open of them is as many days old as the month, which on the 31st is the next age. */
const ages = () => (Number(today.slice(8)) <= 30 ? { place: 0, text: '0 to 30 days' } : { place: 1, text: '31 to 60 days' });

/** The bookkeeper pays what last month's statements left open at three sites, and the owner gives up a rest. */
describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let bookkeeper: Visit;
  const sites = new Map<string, string>();

  beforeAll(async () => {
    today = todayAtSites();
    running = await startConsole();
    const { operator } = running.api;
    const owner = operator.as('owner');
    const taxAreaId = (await makeTaxArea(owner)).id;
    for (const [code, name] of [['QUAY', 'Quay Tavern'], ['MILL', 'Mill Bar'], ['PIER', 'Pier Lounge']] as const) {
      const running = await makeSharedSite(owner, { code, name, taxAreaId });
      sites.set(code, running.site.id);
      await accept(owner, await collect(owner, running, { on: last.day(12), coin: '640.00' }));
    }
    await issueMonth(operator, last);
    bookkeeper = await running.visit({ device: 'desk' });
    await bookkeeper.page.goto(addressOf('QUAY'));
    await signIn(bookkeeper, operator.as('bookkeeper'));
    await bookkeeper.page.getByRole('heading', { name: 'Account of Quay Tavern' }).waitFor();
  }, 180_000);
  afterAll(() => running?.close());

  const addressOf = (code: string) => `/operators/${running.api.operator.code}/sites/${sites.get(code) ?? ''}/account`;
  const office = () => running.api.operator.as('bookkeeper');

  async function itemOf(code: string): Promise<OpenItem> {
    const { items } = (await office().get(`/v1/open-items?siteId=${sites.get(code) ?? ''}`).expect(200)).body as { items: OpenItem[] };
    const [item] = items;
    if (item === undefined) throw new Error(`nothing was settled at ${code}`);
    return item;
  }

  async function accountOf(code: string): Promise<SiteAccount['accounts'][number]> {
    const { accounts } = (await office().get(`/v1/sites/${sites.get(code) ?? ''}/account`).expect(200)).body as SiteAccount;
    const [account] = accounts;
    if (account === undefined) throw new Error(`${code} has no account`);
    return account;
  }

  async function personAt(code: string, { role, device }: { role: 'owner' | 'bookkeeper'; device: Device }): Promise<Visit> {
    const person = await running.visit({ device });
    await person.page.goto(addressOf(code));
    await signIn(person, running.api.operator.as(role));
    return person;
  }

  async function fill(page: Page, amount: string): Promise<void> {
    await page.getByRole('button', { name: 'Record a payment' }).click();
    await page.getByLabel('Amount in USD').fill(amount);
    await page.getByLabel('Paid on').fill(today);
    await page.getByRole('button', { name: 'Look at what will be booked' }).click();
  }

  it('lists what is owed at all sites by age, with the way to each account and a file', async () => {
    const { page } = bookkeeper;
    await page.goto(`/operators/${running.api.operator.code}/payment-runs`);
    await page.getByRole('link', { name: 'By age' }).click();
    const owed = page.getByRole('region', { name: 'Owed by the operator, in USD' });
    const items = await Promise.all(['MILL', 'PIER', 'QUAY'].map(itemOf));
    const cents = (amount: string): number => Number(amount.replace('.', ''));
    const together = (items.reduce((sum, { open }) => sum + cents(open.amount), 0) / 100).toLocaleString('en-US', { minimumFractionDigits: 2 });
    await owed.getByRole('row', { name: `All sites ${together}` }).waitFor();
    for (const { siteName, siteCode, partyName, open } of items) await owed.getByRole('row', { name: `${siteName} ${siteCode} ${partyName} ${open.amount}` }).waitFor();
    expect(await bookkeeper.look('ageing')).toEqual([]);
    const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Download as CSV' }).click()]);
    expect(download.suggestedFilename()).toMatch(/^ageing-\d{4}-\d\d-\d\d\.csv$/);
    await owed.getByRole('link', { name: 'Quay Tavern' }).click();
    await page.getByRole('heading', { name: 'Account of Quay Tavern' }).waitFor();
  });

  it('pays a statement whole, after saying what is missing and what will be booked', async () => {
    const { page } = bookkeeper;
    const { number, open } = await itemOf('QUAY');
    await page.getByRole('button', { name: 'Record a payment' }).click();
    const dialog = page.getByRole('dialog');
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByRole('link', { name: 'Enter the day.' }).waitFor();
    await soon(async () => expect(await page.evaluate('document.activeElement.getAttribute("role")')).toBe('alert'));
    expect(await bookkeeper.look('payment-missing')).toEqual([]);
    await dialog.getByRole('link', { name: 'Enter an amount above zero in figures, such as 12.50.' }).click();
    await page.keyboard.type('9,999.00');
    await dialog.getByLabel('Paid on').fill(today);
    await dialog.getByLabel('Reference (optional)').fill('T-1001');
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByRole('link', { name: /^More than is open of the chosen statements, which is \$/ }).waitFor();
    await dialog.getByLabel('Amount in USD').fill(open.amount);
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByText(`Statement ${number} is paid whole with $${open.amount}.`).waitFor();
    expect(await bookkeeper.look('payment-check')).toEqual([]);
    await dialog.getByRole('button', { name: 'Change what I entered' }).click();
    await soon(async () => expect(await dialog.getByLabel('Reference (optional)').inputValue()).toBe('T-1001'));
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByRole('button', { name: 'Book the payment' }).click();
    await page.getByRole('row', { name: /The operator paid Quay Tavern Hospitality, T-1001 .* matched/ }).waitFor();
    await page.getByText('Nothing is to be paid at present.').waitFor();
    await page.getByText('Nothing is owed on either side.').waitFor();
    expect(await bookkeeper.look('payment-booked')).toEqual([]);
    expect(await accountOf('QUAY')).toMatchObject({ closing: { amount: '0.00' }, items: [] });
  });

  it('leads from the reversal of a paid statement, which is refused, back to its payments', async () => {
    const { page } = bookkeeper;
    const dialog = page.getByRole('dialog');
    await page.goto(`/operators/${running.api.operator.code}/settlements/${(await itemOf('QUAY')).settlementId}`);
    await page.getByRole('button', { name: 'Reverse', exact: true }).waitFor();
    // On paper: what was settled and how it came about, and nothing to press.
    const paper = await onPaper(page);
    expect(paper).toMatchObject({ frame: false, buttons: 0 });
    expect(paper.text).toContain('QUAY-1');
    await page.getByRole('button', { name: 'Reverse', exact: true }).click();
    await dialog.getByLabel('Reason').fill('The wrong month');
    await dialog.getByRole('button', { name: 'Reverse', exact: true }).click();
    await dialog.getByText('Something of this settlement is paid or written off').waitFor();
    expect(await bookkeeper.look('settlement-reverse-refused')).toEqual([]);
    await dialog.getByRole('link', { name: 'To the payments of the site' }).click();
    await page.getByRole('heading', { name: 'Account of Quay Tavern' }).waitFor();
  });

  it('keeps what was typed when the books refuse it', async () => {
    const { page } = bookkeeper;
    await page.goto(addressOf('PIER'));
    const { number, open } = await itemOf('PIER');
    await fill(page, open.amount);
    const dialog = page.getByRole('dialog');
    await dialog.getByRole('button', { name: 'Change what I entered' }).click();
    await dialog.getByLabel('Paid on').fill('2099-01-01');
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByRole('button', { name: 'Book the payment' }).click();
    await dialog.getByRole('link', { name: 'Only what has been paid is recorded.' }).waitFor();
    await soon(async () => expect(await dialog.getByLabel('Amount in USD').inputValue()).toBe(open.amount));
    await dialog.getByLabel('Paid on').fill(today);
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByRole('button', { name: 'Book the payment' }).click();
    await page.getByRole('row', { name: new RegExp(`The operator paid Pier Lounge Hospitality .* matched ${number}`) }).waitFor();
  });

  it('takes a payment back that was returned: the statement is open again, held as disputed, released and paid again', async () => {
    const { page } = bookkeeper;
    const { number, paid } = await itemOf('PIER');
    await page.getByRole('button', { name: /^Reverse it: / }).click();
    const dialog = page.getByRole('dialog');
    const what = dialog.getByLabel('What happened');
    await what.selectOption('It was entered by mistake');
    expect(await dialog.getByLabel('Day of the payment').inputValue()).not.toBe('');
    await dialog.getByText(/^No such payment was made, or it was made otherwise\./).waitFor();
    await dialog.getByLabel('Reason').fill('Never paid.');
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByText(new RegExp(`^A counter-entry takes \\$${paid.amount.replace('.', '\\.')} of .* out of the books; no money moves\\.`)).waitFor();
    await dialog.getByRole('button', { name: 'Change what I entered' }).click();
    await what.selectOption('The money came back');
    expect(await dialog.getByLabel('Came back on').inputValue()).toBe('');
    await dialog.getByLabel('Came back on').fill(today);
    await dialog.getByLabel('Reason').fill('The account was closed.');
    await dialog.getByLabel('Booked under another day (optional)').fill('2099-01-01');
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByText('The books have it under January 1, 2099.').waitFor();
    await dialog.getByRole('button', { name: 'Reverse it' }).click();
    await dialog.getByRole('alert').getByRole('link').waitFor();
    expect(await bookkeeper.look('payment-return-refused')).toEqual([]);
    await dialog.getByLabel('Booked under another day (optional)').fill('');
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByText(new RegExp(`^\\$${paid.amount.replace('.', '\\.')} came back on `)).waitFor();
    await dialog.getByRole('button', { name: 'Reverse it' }).click();
    await page.getByRole('row', { name: new RegExp(`^${number} .* payment reversed `) }).waitFor();
    await page.getByRole('row', { name: /reversed .*: The account was closed\./ }).waitFor();
    expect(await bookkeeper.look('payment-returned')).toEqual([]);
    expect(await accountOf('PIER')).toMatchObject({ closing: paid, items: [{ open: paid }], ageing: [0, 1, 2, 3].map((place) => (place === ages().place ? { toPayee: paid } : {})) });
    for (const [command, state] of [['Hold as disputed', 'disputed'], ['Release from dispute', 'payment reversed']] as const) {
      await page.getByRole('button', { name: `${command}: statement ${number}` }).click();
      await dialog.getByLabel('Reason').fill('They count it otherwise.');
      await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
      await dialog.getByRole('button', { name: command, exact: true }).click();
      await page.getByRole('row', { name: new RegExp(`^${number} .* ${state} `) }).waitFor();
    }
    await fill(page, paid.amount);
    await dialog.getByRole('button', { name: 'Book the payment' }).click();
    await page.getByText('Nothing is owed on either side.').waitFor();
    expect(await itemOf('PIER')).toMatchObject({ state: 'paid-again', open: { amount: '0.00' } });
  });

  it('takes a payment off its statement, puts it on account and matches it after all', async () => {
    const { page } = bookkeeper;
    const dialog = page.getByRole('dialog');
    const steps = [['Take off its statements', 'Paid by mistake.', 'not matched'], ['Put the rest on account', 'For the next month.', 'on account'], ['Match it', null, 'matched TEST']] as const;
    for (const [command, reason, state] of steps) {
      await page.getByRole('button', { name: new RegExp(`^${command}: `) }).click();
      if (reason !== null) await dialog.getByLabel('Reason').fill(reason);
      await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
      await dialog.getByRole('button', { name: command, exact: true }).click();
      await page.getByRole('row', { name: new RegExp(`The operator paid Pier Lounge Hospitality .* ${state}`) }).waitFor();
    }
    await page.getByText('Nothing is owed on either side.').waitFor();
    expect(await accountOf('PIER')).toMatchObject({ closing: { amount: '0.00' }, items: [] });
    expect(bookkeeper.complaints).toEqual([]);
  });

  it('pays a part on a phone, and the owner gives up the rest', async () => {
    const phone = await personAt('MILL', { role: 'bookkeeper', device: 'phone' });
    const { number, open: owedToMill } = await itemOf('MILL');
    await phone.page.getByRole('button', { name: 'Record a payment' }).waitFor();
    await phone.page.goto(`/operators/${running.api.operator.code}/payment-runs/ageing`);
    // The ages stand below the name; as columns they would lie beyond the edge.
    const aged = phone.page.getByRole('row', { name: /^Mill Bar MILL/ });
    await aged.getByText(`${ages().text}: ${owedToMill.amount}`).waitFor();
    expect(await aged.getByRole('cell').filter({ visible: true }).allTextContents()).toEqual([owedToMill.amount]);
    expect(await phone.look('ageing')).toEqual([]);
    await aged.getByRole('link', { name: 'Mill Bar' }).click();
    await fill(phone.page, '20');
    await phone.page.getByText(new RegExp(`^Statement ${number} is paid in part with \\$20\\.00; \\$`)).waitFor();
    expect(await phone.look('payment-check')).toEqual([]);
    await phone.page.getByRole('button', { name: 'Change what I entered' }).click();
    await phone.page.getByLabel('Paid by').selectOption('Cash');
    await phone.page.getByRole('button', { name: 'Look at what will be booked' }).click();
    await phone.page.getByRole('button', { name: 'Book the payment' }).click();
    await phone.page.getByText('partly paid').waitFor();
    await phone.page.getByText('The operator paid Mill Bar Hospitality, in cash', { exact: true }).waitFor();
    expect(await phone.look('payment-booked')).toEqual([]);
    expect(await phone.page.getByRole('button', { name: /^Write off/ }).count()).toBe(0);
    expect(phone.complaints).toEqual([]);
    await phone.context.close();

    const { open } = await itemOf('MILL');
    const owner = await personAt('MILL', { role: 'owner', device: 'desk' });
    await owner.page.getByRole('button', { name: `Write off: statement ${number}` }).click();
    const dialog = owner.page.getByRole('dialog');
    await dialog.getByLabel('Reason').fill('The bar is gone.');
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByText(`$${open.amount} of statement ${number} is given up`, { exact: false }).waitFor();
    expect(await owner.look('write-off-check')).toEqual([]);
    await dialog.getByRole('button', { name: 'Write off', exact: true }).click();
    await owner.page.getByRole('row', { name: new RegExp(`^${number} .* written off `) }).waitFor();
    await owner.page.getByText('No item is open at this day.').waitFor();
    await owner.page.getByText('Nothing is owed on either side.').waitFor();
    expect(await owner.look('write-off-booked')).toEqual([]);
    expect(await accountOf('MILL')).toMatchObject({ closing: { amount: '0.00' }, items: [] });
    expect(owner.complaints).toEqual([]);
    await owner.context.close();
  });
});
