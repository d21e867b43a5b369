import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import type { OpenItem } from '#contracts/open-item';
import { describeWithProgram } from '#tests/support/outside-program';
import type { Visit } from './support/browser';
import { accept, collect, issueMonth, makeAreaWithTax, makeSharedSite, months, startWorking, type RunningSite } from './support/books';
import { startConsole, signIn, type RunningConsole } from './support/console';
import { soon } from './support/soon';

const { present, last, before } = months;

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let stopWorking: () => Promise<void>;
  let bookkeeper: Visit;
  let page: Page;
  const sites: { [name: string]: RunningSite } = {};

  beforeAll(async () => {
    running = await startConsole();
    const { operator } = running.api;
    const owner = operator.as('owner');
    const taxAreaId = (await makeAreaWithTax(owner)).id;
    for (const [code, name] of [['QUAY', 'Quay Tavern'], ['MILL', 'Mill Diner'], ['PIER', 'Pier Café'], ['RIDGE', 'Fir Lodge']] as const) {
      sites[code] = await makeSharedSite(owner, { code, name, taxAreaId, ...(code === 'QUAY' ? { id: operator.siteId } : {}) });
    }
    for (const code of ['QUAY', 'MILL', 'PIER', 'RIDGE']) await accept(owner, await collect(owner, at(code), { on: before.day(20), coin: '400.00' }));
    await issueMonth(operator, before);
    await accept(owner, await collect(owner, at('QUAY'), { on: last.day(12), coin: '520.00' }));
    await accept(owner, await collect(owner, at('RIDGE'), { on: last.day(14), coin: '900.00' }));
    await collect(operator.as('collector'), at('MILL'), { on: last.day(13), coin: '380.00' });
    await owner.post('/v1/refund-claims', { siteId: at('RIDGE').site.id, machineTag: 'RIDGE-1', refundedOn: last.day(15), amount: { amount: '1.75', currency: 'USD' }, reason: 'Coin stuck' }).expect(201);

    stopWorking = startWorking(operator);
    bookkeeper = await running.visit({ device: 'desk' });
    page = bookkeeper.page;
    await page.goto(`/operators/${operator.code}`);
    await signIn(bookkeeper, operator.as('bookkeeper'));
  }, 180_000);
  afterAll(async () => {
    await stopWorking?.();
    await running?.close();
  });

  const at = (code: string): RunningSite => {
    const site = sites[code];
    if (site === undefined) throw new Error(`no site ${code}`);
    return site;
  };
  /** Waits until a row of the list says so. Some of it stands there twice, once for each width. */
  const seen = (name: RegExp, text: string) => row(name).getByText(text).filter({ visible: true }).waitFor();
  const row = (name: RegExp) => page.getByRole('row', { name });
  const step = (name: string) => page.getByRole('listitem').filter({ has: page.getByRole('heading', { name, exact: true }) });
  /** Presses a button that asks, and says yes. */
  const doIt = async (name: string): Promise<void> => {
    await page.getByRole('button', { name, exact: true }).click();
    await page.getByRole('dialog').getByRole('button', { name, exact: true }).click();
    await page.getByRole('dialog').waitFor({ state: 'detached' });
  };
  const goToMonthEnd = async (): Promise<void> => {
    await page.getByRole('link', { name: 'Month end' }).click();
    await page.getByRole('heading', { name: last.title }).waitFor();
  };

  it('begins with the month that is over, and says what is missing', async () => {
    await page.getByRole('heading', { name: last.title }).waitFor();
    await seen(/Pier Café/, 'No collections');
    await seen(/Mill Diner/, 'Collections open');
    await step('Collections').getByText('1 without collections').waitFor();
    await step('Collections').getByRole('link', { name: '1 refund slip that no collection has' }).waitFor();
    await soon(async () => expect(await step('Settlement').innerText()).toContain('2'));
    expect(await bookkeeper.look('month-end-missing')).toEqual([]);
  });

  it('leads to the collection that waits, which is accepted there', async () => {
    await step('Collections').getByRole('link', { name: '1 not accepted' }).click();
    await page.getByRole('heading', { name: 'Collections' }).waitFor();
    await seen(/Mill Diner/, 'Waiting to be accepted');
    await soon(async () => expect(await page.getByRole('row').count()).toBe(2));
    expect(await bookkeeper.look('collections-waiting')).toEqual([]);
    await row(/Mill Diner/).getByRole('button', { name: /Accept/ }).click();
    await page.getByText('There is no collection here.').waitFor();
    await goToMonthEnd();
    await seen(/Mill Diner/, 'Ready to settle');
  });

  it('announces a late change in the month that settles it, and not in the one after', async () => {
    await accept(running.api.operator.as('owner'), await collect(running.api.operator.as('owner'), at('MILL'), { on: before.day(27), coin: '12.00' }));
    await page.reload();
    await page.locator('summary').filter({ hasText: `1 change to periods already issued is settled along with ${last.name}` }).waitFor();
    await page.getByLabel('Period', { exact: true }).selectOption({ label: present.title });
    await page.getByRole('heading', { name: present.title }).waitFor();
    await row(/Mill Diner/).waitFor();
    await page.waitForLoadState('networkidle');
    expect(await page.locator('summary').filter({ hasText: 'periods already issued' }).count()).toBe(0);
    await page.goBack();
    await page.getByRole('heading', { name: last.title }).waitFor();
  });

  it('closes the month for what is there', async () => {
    await page.getByRole('button', { name: `Close ${last.name}` }).click();
    await page.getByRole('dialog').getByText('3 sites are settled from the counts that have been accepted').waitFor();
    await page.getByRole('dialog').getByText('1 site is left out for now').waitFor();
    expect(await bookkeeper.look('month-end-close')).toEqual([]);
    await page.keyboard.press('Escape');
    await page.getByRole('dialog').waitFor({ state: 'detached' });
    await soon(async () => expect(await page.locator(':focus').innerText()).toBe(`Close ${last.name}`));
    await doIt(`Close ${last.name}`);
    await seen(/Fir Lodge/, 'Draft');
    expect(await bookkeeper.look('month-end-drafts')).toEqual([]);
  });

  it('shows what changed against the month before, and finds and orders sites', async () => {
    // 240.00 more takings than the month before; how many weeks the operator's first call covers depends on the month.
    await soon(async () => expect(await row(/Quay Tavern/).innerText()).toMatch(/\+\d+\.\d\d\+\d+%/));
    await row(/Fir Lodge.*unusual.*takings \+\d+%/).waitFor();
    await page.getByRole('button', { name: 'Change in payable' }).click();
    await soon(async () => expect(await page.getByRole('row').nth(1).innerText()).toContain('Fir Lodge'));
    await page.getByLabel('Find a site').fill('quay');
    await page.getByText('1 of 4 sites').waitFor();
    await page.waitForURL(/find=quay/);
    await page.getByLabel('Find a site').fill('');
    await page.getByLabel('Show').selectOption({ label: 'Collections missing (1)' });
    await page.getByText('1 of 4 sites').waitFor();
    await row(/Pier Café/).waitFor();
    await page.getByLabel('Find a site').fill('nothing like it');
    await page.getByRole('button', { name: 'Show all sites' }).click();
    await page.getByText('4 sites').first().waitFor();
  });

  it('lets a person go who clicks on a link just when the address is about to follow the typing, however slow the machine', async () => {
    const slow = await page.context().newCDPSession(page);
    await slow.send('Emulation.setCPUThrottlingRate', { rate: 6 });
    for (const [typed, afterMs] of [['q', 225], ['qu', 235], ['qua', 245]] as const) {
      await page.evaluate(`{
        const field = document.querySelector('input[type=search]');
        Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, 'value').set.call(field, '${typed}');
        field.dispatchEvent(new Event('input', { bubbles: true }));
        setTimeout(() => [...document.querySelectorAll('a')].find((link) => link.innerText === 'Quay Tavern').click(), ${afterMs});
      }`);
      await page.getByRole('heading', { name: 'From takings to payable' }).waitFor();
      await page.goBack();
      await page.getByText('4 sites').first().waitFor();
    }
    await slow.send('Emulation.setCPUThrottlingRate', { rate: 1 });
    await slow.detach();
  });

  it('opens one settlement, every figure of which opens to its reason', async () => {
    await row(/Quay Tavern/).getByRole('link', { name: 'Quay Tavern' }).click();
    await page.getByRole('heading', { name: 'From takings to payable' }).waitFor();
    // 1,080.00 in two boxes less 2.50 given back, of which 4.5 % are inside; 75.00 for each of the weeks covered; half of the rest.
    await page.getByRole('button', { name: /County surtax/ }).click();
    await page.getByText('Before rounding').waitFor();
    await page.getByRole('button', { name: /Show 2 lines of machines\s*: Takings/ }).click();
    expect(await bookkeeper.look('settlement')).toEqual([]);
    // From a reason to the figures behind it, also where they stand among the lines of a machine that is closed.
    await page.getByRole('button', { name: 'Takings without the tax', exact: true }).click();
    await soon(async () => expect(await page.locator(':focus').innerText()).toMatch(/^Takings without the tax\s.*why/));
    await page.getByRole('button', { name: /^Base of the tax/ }).click();
    await page.getByRole('button', { name: 'Net takings, QUAY-2', exact: true }).click();
    await page.getByRole('table', { name: 'Lines of machine QUAY-2' }).locator('button:focus').filter({ hasText: 'Net takings' }).waitFor();
    const openers = page.locator('button[aria-expanded="false"][aria-controls]');
    for (let left = await openers.count(); left > 0; left -= 1) await openers.first().click();
    expect(await page.getByText('This settlement was stored without explanations.').count()).toBe(0);
    expect(await bookkeeper.look('settlement-open')).toEqual([]);
    await page.getByText('The operator takes', { exact: false }).or(page.getByText('First call', { exact: false })).first().waitFor();
  });

  it('reviews with the keyboard, reopens with a note, recomputes, and keeps all of it in the history', async () => {
    await page.getByRole('button', { name: /^Mark reviewed(, and on)?$/ }).focus();
    await page.keyboard.press('Enter');
    await page.getByRole('button', { name: 'Reopen' }).click();
    await page.getByRole('dialog').getByRole('button', { name: 'Reopen' }).click();
    await page.getByRole('heading', { name: 'One thing needs a correction' }).waitFor();
    expect(await bookkeeper.look('settlement-reopen-missing')).toEqual([]);
    await page.getByRole('link', { name: 'Enter a reason of at least three characters' }).click();
    await soon(async () => expect(await page.locator('textarea:focus').count()).toBe(1));
    await page.getByLabel('Reason').fill('The slip of the 12th belongs to the other box');
    expect(await bookkeeper.look('settlement-reopen')).toEqual([]);
    await page.getByRole('dialog').getByRole('button', { name: 'Reopen' }).click();
    await page.getByText('The slip of the 12th belongs to the other box').waitFor();
    await page.getByRole('button', { name: 'Recompute' }).click();
    await page.getByText('Recomputed by you').waitFor();
    await page.getByText('Reopened by you').waitFor();
  });

  it('refuses to review a draft that a colleague has computed again meanwhile, and shows the new one', async () => {
    const id = new URL(page.url()).pathname.split('/').at(-1) ?? '';
    await running.api.operator.as('owner').post(`/v1/settlements/${id}/recompute`).expect(200);
    await page.getByRole('button', { name: /^Mark reviewed(, and on)?$/ }).click();
    await page.getByRole('alert').filter({ hasText: 'Somebody changed this since you read it' }).waitFor();
    expect(await bookkeeper.look('settlement-changed')).toEqual([]);
    await page.getByText('Recomputed by a colleague').waitFor();
    await page.getByRole('button', { name: /^Mark reviewed(, and on)?$/ }).click();
    await page.getByRole('button', { name: 'Reopen' }).waitFor();
  });

  it('goes through the drafts by single keys, and holds one back with a note until it is released', async () => {
    await goToMonthEnd();
    await row(/Fir Lodge/).getByRole('link', { name: 'Fir Lodge' }).click();
    // Before Mill Diner, whose code comes first: its change stands out.
    await page.getByText('1 of 2 drafts').waitFor();
    await page.getByText(/^Unusual against the period before: payable \+\$\d+\.\d\d \(\+\d+%\); takings \+\d+%\.$/).waitFor();
    await page.keyboard.press('n');
    expect(await page.getByRole('heading', { level: 1 }).innerText()).toBe('Fir Lodge');
    await page.getByLabel(/^Review by keys: /).check();
    await page.keyboard.press('n');
    await page.getByRole('heading', { name: 'Mill Diner' }).waitFor();
    await page.getByText('2 of 2 drafts').waitFor();
    expect(await page.getByText('Unusual against the period before').count()).toBe(0);
    await soon(async () => expect(await page.locator('h1:focus').count()).toBe(1));
    await page.keyboard.press('p');
    await page.getByRole('heading', { name: 'Fir Lodge' }).waitFor();
    await page.keyboard.press('h');
    await page.getByRole('dialog').getByLabel('Reason').fill('an odd count, nothing else');
    await page.getByRole('dialog').getByRole('button', { name: 'Hold' }).click();
    await page.getByText('This draft is held').waitFor();
    await page.keyboard.press('a');
    expect(await bookkeeper.look('settlement-held')).toEqual([]);
    await goToMonthEnd();
    await step('Review').getByRole('link', { name: '1 held' }).click();
    await row(/Fir Lodge.*Draft.*Held: an odd count, nothing else/).getByRole('link', { name: 'Fir Lodge' }).click();
    await page.getByRole('button', { name: 'Release' }).click();
    await page.getByRole('dialog').getByLabel('Reason').fill('Counted again');
    await page.getByRole('dialog').getByRole('button', { name: 'Release' }).click();
    await page.getByText('Released by you').waitFor();
  });

  it('reviews one in the list and then the rest, and issues them', async () => {
    await goToMonthEnd();
    await row(/Mill Diner/).getByRole('button', { name: 'Mark reviewed' }).click();
    await seen(/Mill Diner/, 'Reviewed');
    await doIt('Mark the draft reviewed');
    await seen(/Fir Lodge/, 'Reviewed');
    await page.getByRole('button', { name: 'Issue 3', exact: true }).waitFor();
    expect(await bookkeeper.look('month-end-reviewed')).toEqual([]);
    await doIt('Issue 3');
    for (const name of [/Quay Tavern/, /Mill Diner/, /Fir Lodge/]) await seen(name, 'Issued');
    expect(await bookkeeper.look('month-end-issued')).toEqual([]);
  });

  it('hands out one signed statement, and all of them in one file', async () => {
    const [one] = await Promise.all([page.waitForEvent('download'), row(/Quay Tavern/).getByRole('button', { name: /PDF/ }).click()]);
    expect(one.suggestedFilename()).toMatch(/\.pdf$/);
    expect(readFileSync(await one.path()).subarray(0, 5).toString()).toBe('%PDF-');
    const [all] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: /Download all/ }).click()]);
    expect(all.suggestedFilename()).toBe(`statements-${last.startsOn}.zip`);
    const zip = readFileSync(await all.path()).toString('latin1');
    // Each file of a ZIP has a local header and its name in front of its bytes (APPNOTE 4.3.7).
    expect(zip.split('PK\u0003\u0004')).toHaveLength(4);
    expect(zip).toContain(one.suggestedFilename());
  });

  it('says what is not paid until all of it is, and finds it in the list', async () => {
    const owner = running.api.operator.as('owner');
    await step('Payments').getByRole('link', { name: 'statements not paid' }).click();
    await page.getByText('3 of 4 sites').waitFor();
    await row(/Quay Tavern.*Issued.*not paid, \$\d+\.\d\d to pay/).waitFor();
    expect(await bookkeeper.look('month-end-unpaid')).toEqual([]);
    for (const [code, left] of [['QUAY', '2 of 4 sites'], ['MILL', '1 of 4 sites'], ['RIDGE', 'No site matches.']] as const) {
      const item = ((await owner.get(`/v1/open-items?unpaid=yes&siteId=${at(code).site.id}`).expect(200)).body as { items: OpenItem[] }).items.find(({ startsOn }) => startsOn === last.startsOn);
      await owner.post('/v1/payments', { amount: item?.open, method: 'bank', paidOn: present.startsOn, settlements: [{ settlementId: item?.settlementId }] }).expect(201);
      await page.reload();
      await page.getByText(left).waitFor();
    }
    await step('Payments').getByText('All paid.').waitFor();
    await page.getByRole('button', { name: 'Show all sites' }).click();
    await row(/Quay Tavern.*Issued(?!.*not paid).*paid/).waitFor();
    await page.waitForURL(({ searchParams }) => !searchParams.has('show')); // Read anew, the page goes by its address, which follows the list.
  });

  it('settles later what was left out', async () => {
    const owner = running.api.operator.as('owner');
    await accept(owner, await collect(owner, at('PIER'), { on: last.day(28), coin: '410.00' }));
    await page.reload();
    await doIt('Settle 1 site');
    await seen(/Pier Café/, 'Draft');
    await doIt('Mark the draft reviewed');
    await seen(/Pier Café/, 'Reviewed');
    await doIt('Issue 1');
    await seen(/Pier Café/, 'Issued');
    await page.getByText('All collections are in and accepted.').waitFor();
  });

  it('reverses what was issued, with a reason, and settles the month anew', async () => {
    await row(/Pier Café/).getByRole('link', { name: 'Pier Café' }).click();
    await page.getByRole('button', { name: 'Reverse', exact: true }).click();
    await page.getByLabel('Reason').fill('The box of the quay was counted here');
    expect(await bookkeeper.look('settlement-reverse')).toEqual([]);
    await page.getByRole('dialog').getByRole('button', { name: 'Reverse', exact: true }).click();
    await page.getByText(/^Reversed on .* because “The box of the quay was counted here”$/).waitFor();
    await page.getByText('Reversed by you').waitFor();
    // The program numbers and signs; a person gives the order.
    await page.getByText('Numbered when you issued the settlement').waitFor();
    await page.getByText('Statement signed when you issued the settlement').waitFor();
    expect(await page.getByRole('button', { name: 'Reverse', exact: true }).count()).toBe(0);
    expect(await bookkeeper.look('settlement-reversed')).toEqual([]);
    await page.getByRole('link', { name: `Settle ${last.title} anew in the month end` }).click();
    await seen(/Pier Café/, 'Ready to settle');
    await row(/Pier Café/).getByRole('link', { name: 'The one before was reversed' }).waitFor();
    expect(await bookkeeper.look('month-end-reversed')).toEqual([]);
    await doIt('Settle 1 site');
    await seen(/Pier Café/, 'Draft');
    await doIt('Mark the draft reviewed');
    await seen(/Pier Café/, 'Reviewed');
    await doIt('Issue 1');
    await seen(/Pier Café/, 'Issued');
    expect(await page.getByRole('link', { name: 'The one before was reversed' }).count()).toBe(0);
  });

  it('announces what came late in the month that will settle it', async () => {
    const owner = running.api.operator.as('owner');
    await accept(owner, await collect(owner, at('RIDGE'), { on: last.day(27), coin: '33.00' }));
    await page.getByLabel('Period').selectOption({ label: present.title });
    await page.getByRole('heading', { name: present.title }).waitFor();
    await page.locator('summary').filter({ hasText: `1 change to periods already issued is settled along with ${present.name}` }).click();
    await row(/Fir Lodge.*A count came in late/).waitFor();
    expect(await page.getByRole('button', { name: `Close ${present.name}` }).count()).toBe(0);
    await page.getByText(/Can be closed from/).waitFor();
    expect(await bookkeeper.look('month-end-present')).toEqual([]);
    await page.goBack();
    await page.getByRole('heading', { name: last.title }).waitFor();
    await page.locator('summary').filter({ hasText: `1 change to ${last.name} came after it was issued and waits for the next settlement` }).waitFor();
  });

  it('shows a site with what was agreed, its machines, settlements and collections', async () => {
    await page.getByRole('link', { name: 'Sites', exact: true }).click();
    await page.getByRole('heading', { name: 'Sites', level: 1 }).waitFor();
    await page.getByLabel('Find a site').fill('lodge');
    // At once, before the address has followed the typing.
    await page.getByRole('link', { name: 'Fir Lodge' }).click();
    await page.getByRole('row', { name: new RegExp(`${last.title} Issued`) }).waitFor();
    await page.getByRole('row', { name: /RIDGE-1/ }).waitFor();
    expect(await bookkeeper.look('site')).toEqual([]);
    await page.goBack();
    await page.getByText('4 sites').waitFor();
    expect(await bookkeeper.look('sites')).toEqual([]);
    expect(bookkeeper.complaints).toEqual([]);
  });

  it('tells a site manager the share so far, how it came about, and gives the statements of their own site only', async () => {
    const { operator } = running.api;
    const owner = operator.as('owner');
    await accept(owner, await collect(owner, at('QUAY'), { on: present.day(1), coin: '150.00' }));
    const manager = await running.visit({ device: 'phone' });
    await manager.page.goto(`/operators/${operator.code}`);
    await signIn(manager, operator.as('site-manager'));
    await manager.page.getByRole('heading', { name: 'Quay Tavern' }).waitFor();
    await manager.page.getByText(`Your share for ${present.name} so far`).waitFor();
    await manager.page.getByText('From takings of $340.00').waitFor();
    await manager.page.getByText('The rest is shared').waitFor();
    await manager.page.getByText('$340.00 counted, $2.50 given back to players, $10.00 handed over here').waitFor();
    await manager.page.getByRole('listitem').filter({ hasText: last.title }).getByText('paid', { exact: true }).waitFor();
    expect(await manager.look('share')).toEqual([]);
    const [statement] = await Promise.all([
      manager.page.waitForEvent('download'),
      manager.page.getByRole('listitem').filter({ hasText: last.title }).getByRole('button', { name: /PDF/ }).click(),
    ]);
    expect(statement.suggestedFilename()).toMatch(/\.pdf$/);
    await manager.page.getByRole('link', { name: last.title }).click();
    await manager.page.getByText('The machines took $1,080.00.').waitFor();
    await manager.page.getByText('Due to you').waitFor();
    await manager.page.getByRole('button', { name: 'Ask about it' }).click();
    await manager.page.getByRole('dialog').getByLabel('Your question').fill('Was the jukebox counted?');
    await manager.page.getByRole('dialog').getByRole('button', { name: 'Ask about it' }).click();
    await manager.page.getByText('Your question waits for an answer').waitFor();
    expect(await manager.look('share-settlement')).toEqual([]);
    await goToMonthEnd();
    await page.getByRole('row', { name: /Quay Tavern .* Was the jukebox counted\?/ }).getByRole('link').click();
    await page.getByRole('button', { name: 'Answer' }).click();
    await page.getByRole('dialog').getByLabel('Your answer').fill('Yes, on the 20th.');
    expect(await bookkeeper.look('settlement-answer')).toEqual([]);
    await page.getByRole('dialog').getByRole('button', { name: 'Answer' }).click();
    await page.getByText('Answered by you').waitFor();
    await manager.page.reload();
    await manager.page.locator('.notice').filter({ hasText: 'The answer of the office' }).filter({ hasText: 'Was the jukebox counted?' }).waitFor();
    await manager.page.goBack();
    await manager.page.getByRole('link', { name: /^The office answered / }).waitFor();
    expect(await manager.page.getByText(/Mill Diner|Fir Lodge|Pier Café/).count()).toBe(0);
    expect(manager.complaints).toEqual([]);
    await manager.context.close();
  });

  it.each([{ device: 'phone', dark: false }, { device: 'desk', dark: true }] as const)('is as usable at $device size, dark: $dark', async ({ device, dark }) => {
    const { operator } = running.api;
    const person = await running.visit({ device, dark });
    await person.page.goto(`/operators/${operator.code}/month-end/month/${last.startsOn}`);
    await signIn(person, operator.as('auditor'));
    await person.page.getByRole('row', { name: /Quay Tavern/ }).waitFor();
    expect(await person.look('month-end')).toEqual([]);
    await person.page.getByRole('link', { name: 'Quay Tavern' }).click();
    await person.page.getByRole('heading', { name: 'From takings to payable' }).waitFor();
    await person.page.getByRole('button', { name: /^Left to share . why/ }).click();
    expect(await person.look('settlement')).toEqual([]);
    expect(await person.page.getByRole('button', { name: /Mark|Recompute|Reopen/ }).count()).toBe(0);
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });
});
