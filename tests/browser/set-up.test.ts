import type { Page } from 'playwright-core';
import { describeWithProgram } from '#tests/support/outside-program';
import type { Visit } from './support/browser';
import { months, startWorking } from './support/books';
import { startConsole, signIn, type RunningConsole } from './support/console';

const { last, before } = months;

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let stopWorking: () => Promise<void>;
  let owner: Visit;
  let page: Page;

  beforeAll(async () => {
    running = await startConsole();
    const { operator } = running.api;
    stopWorking = startWorking(operator);
    owner = await running.visit({ device: 'desk' });
    page = owner.page;
    await page.goto(`/operators/${operator.code}`);
    await signIn(owner, operator.as('owner'));
  }, 90_000);
  afterAll(async () => {
    await stopWorking?.();
    await running?.close();
  });

  const dialog = () => page.getByRole('dialog');
  const press = (name: string) => page.getByRole('button', { name, exact: true }).click();
  const send = async (name: string): Promise<void> => {
    await dialog().getByRole('button', { name, exact: true }).click();
    await dialog().waitFor({ state: 'detached' });
  };
  const go = (name: string) => page.getByRole('main').getByRole('link', { name, exact: true }).click();
  const arrived = (name: string) => page.getByRole('heading', { name, level: 1 }).waitFor();

  it('is led from an empty month end through the office to a tax area with its sources', async () => {
    await page.getByText('There is no period to close yet.').waitFor();
    await go('Set up the books');
    await page.getByText('Enter the first place where machines stand.').waitFor();
    await page.getByText('has no address yet').waitFor();
    expect(await owner.look('set-up')).toEqual([]);
    await go('Your office');
    await page.getByLabel('Time zone').fill('Nowhere/Else');
    await page.getByLabel('Address', { exact: true }).fill('4 Depot Road\nQuillham');
    await press('Save');
    await page.getByRole('link', { name: 'Choose a time zone from the list' }).click();
    expect(await page.locator(':focus').inputValue()).toBe('Nowhere/Else');
    await page.getByLabel('Time zone').fill('America/Chicago');
    expect(await page.getByLabel('Address', { exact: true }).inputValue()).toBe('4 Depot Road\nQuillham');
    await press('Save');
    await page.getByText('Saved.').waitFor();
    expect(await owner.look('office')).toEqual([]);
    await go('Set up');
    await go('Tax areas');
    await press('Copy a ready one');
    await dialog().getByLabel('Ready area').selectOption({ label: 'United States: Florida, county surtax 1 %' });
    await dialog().getByText(/Source: Rule 12A-15\.011/).waitFor();
    expect(await owner.look('tax-area-copy')).toEqual([]);
    await dialog().getByRole('button', { name: 'Copy it' }).click();
    await arrived('Florida, county surtax 1 %');
    await page.getByText('4% + 1%, contained in the takings, since January 1, 2025').waitFor();
    expect(await owner.look('tax-area')).toEqual([]);
  });

  it('sets up a site with machines, a game and somebody who collects', async () => {
    await page.getByRole('banner').getByRole('link', { name: 'Sites' }).click();
    await press('Add a site');
    await dialog().getByLabel('Name').fill('Quay Tavern');
    await dialog().getByRole('button', { name: 'Add a site' }).click();
    await dialog().getByRole('heading', { name: '2 things need a correction' }).waitFor();
    expect(await owner.look('site-missing')).toEqual([]);
    await dialog().getByLabel('Code').fill('quay');
    await dialog().getByLabel('Open since').fill(before.day(1));
    await dialog().getByRole('button', { name: 'Add a site' }).click();
    await arrived('Quay Tavern');
    await page.getByText('There is no agreement for this site.').waitFor();
    await press('Add a machine');
    await dialog().getByLabel('Tag').fill('q-1');
    await dialog().getByLabel('Kind').fill('Pool table');
    await dialog().getByLabel('Stands there since').fill(before.day(1));
    await press('Add it and enter another');
    await dialog().getByText('Q-1 is in the books.').waitFor();
    expect(await dialog().getByLabel('Tag').inputValue()).toBe('Q-2');
    await send('Add a machine');
    await go('All sites');
    await page.getByRole('navigation', { name: 'What is set up' }).getByRole('link', { name: 'Games' }).click();
    await press('Add a game');
    await dialog().getByLabel('Title').fill('Gravel Comet');
    await dialog().getByLabel('Kind').fill('Pool table');
    await send('Add a game');
    await page.getByRole('row', { name: /Gravel Comet GRAVEL-COMET Pool table nowhere at present/ }).waitFor();
    expect(await owner.look('games')).toEqual([]);
    await page.getByRole('navigation', { name: 'What is set up' }).getByRole('link', { name: 'People in the books' }).click();
    await press('Add a person');
    await dialog().getByLabel('Name').fill('Bo Tarn');
    await send('Add a person');
    await page.getByRole('row', { name: /Bo Tarn BO-TARN/ }).waitFor();
    expect(await owner.look('persons')).toEqual([]);
  });

  it('keeps a machine with its game, its meters and its moves on one page', async () => {
    await page.getByRole('navigation', { name: 'What is set up' }).getByRole('link', { name: 'Machines' }).click();
    await page.getByLabel('Find a machine by its tag').fill('q-1');
    await page.getByText('1 machine', { exact: true }).waitFor();
    expect(await owner.look('machines')).toEqual([]);
    await go('Q-1');
    await arrived('Q-1');
    await press('Enter its game');
    await dialog().getByLabel('Game').selectOption({ label: 'Gravel Comet (GRAVEL-COMET)' });
    await dialog().getByLabel('In it since').fill(before.day(2));
    await send('Enter its game');
    await page.getByRole('row', { name: /Gravel Comet/ }).waitFor();
    await press('Fit a counter board');
    await dialog().getByLabel('Name of the board').fill('B-77');
    await dialog().getByRole('button', { name: 'Fit it' }).click();
    await dialog().getByRole('heading', { name: '4 things need a correction' }).waitFor();
    await dialog().getByRole('textbox', { name: 'Name', exact: true }).fill('Coin in');
    await dialog().getByLabel('Worth of one unit in USD').fill('0.25');
    await dialog().getByLabel('In it since').fill(before.day(2));
    await dialog().getByLabel('Showed then').fill('004711');
    await dialog().getByLabel('Most units in an hour').fill('240');
    expect(await owner.look('counter-board')).toEqual([]);
    await send('Fit it');
    await page.getByRole('row', { name: /Coin in Coin \$0\.25 6 004711/ }).waitFor();
    await press('Take it to the shop');
    await dialog().getByLabel('Day on which it was taken away').fill(before.day(1));
    await dialog().getByRole('button', { name: 'Take it to the shop' }).click();
    await dialog().getByRole('link', { name: /A machine is removed after the day it was placed/ }).waitFor();
    await dialog().getByRole('button', { name: 'Cancel' }).click();
    await press('Correct Gravel Comet');
    await dialog().getByLabel('In it since').fill(before.day(1));
    await send('Save');
    await page.getByRole('row', { name: /Gravel Comet/ }).getByText(/ 1, /).waitFor();
    expect(await owner.look('machine')).toEqual([]);
  });

  it('writes an agreement down with its preview, which says what the law of the place would refuse', async () => {
    await page.getByRole('banner').getByRole('link', { name: 'Sites' }).click();
    await go('Quay Tavern');
    await go('Tax area');
    await press('Record a limit');
    await dialog().getByLabel(/^The site has at most/).fill('50');
    await dialog().getByLabel('In force from').fill('2025-01-01');
    await dialog().getByRole('button', { name: 'Record it' }).click();
    await dialog().getByRole('link', { name: 'Say where it is published' }).click();
    await page.keyboard.type('Invented Act, section 3');
    await send('Record it');
    await page.getByText('The site may have at most 50% of what is left after tax. In force since January 1, 2025.').waitFor();
    expect(await owner.look('tax-area-limit')).toEqual([]);
    await go('Quay Tavern');
    await go('Write down an agreement');
    await arrived('A new agreement');
    await press('Add a party');
    await dialog().getByLabel('Name').fill('Quay Hospitality');
    await send('Add a party');
    const preview = page.getByRole('complementary', { name: 'What the agreement says' });
    await page.getByLabel('Quay Hospitality, percent').fill('forty');
    await preview.getByText('Finish what is marked, and the sentences stand here.').waitFor();
    await page.getByLabel('Quay Hospitality, percent').fill('60');
    await page.getByLabel(/^(?!Quay).*, percent$/).fill('40');
    await preview.getByText('One thing would be refused').waitFor();
    expect(await owner.look('agreement-refused')).toEqual([]);
    await press('Record the agreement');
    await page.getByRole('heading', { name: 'One thing needs a correction' }).waitFor();
    await page.getByLabel('Quay Hospitality, percent').fill('40');
    await page.getByLabel(/^(?!Quay).*, percent$/).fill('60');
    await preview.getByText(/Quay Hospitality 40%/).waitFor();
    await preview.getByText('One thing would be refused').waitFor({ state: 'detached' });
    await press('Record the agreement');
    await arrived('Quay Tavern');
    await page.getByText(/With Quay Hospitality, since/).waitFor();
    expect(await owner.look('site-agreed')).toEqual([]);
  });

  it('goes on to the first issued statement, and every page tells of it', async () => {
    await go('Enter a visit');
    await page.getByLabel('Who collected').selectOption({ label: 'Bo Tarn' });
    await page.getByLabel('When').fill(`${last.day(20)}T10:00`);
    await page.getByRole('group', { name: /Q-1/ }).getByLabel('Coins', { exact: true }).fill('300');
    await page.getByRole('group', { name: /Q-1/ }).getByLabel(/Coin in/).fill('005911');
    await page.getByRole('group', { name: /Q-2/ }).getByLabel('Coins', { exact: true }).fill('100');
    await press('Enter the visit');
    await page.getByRole('row', { name: /Quay Tavern/ }).getByRole('button', { name: /^Accept/ }).click();
    await page.getByText('There is no collection here.').waitFor();
    await page.getByRole('banner').getByRole('link', { name: 'Month end' }).click();
    await arrived(last.title);
    for (const name of [`Close ${last.name}`, 'Mark the draft reviewed', 'Issue 1']) {
      await press(name);
      await send(name);
    }
    await page.getByRole('row', { name: /Quay Tavern/ }).getByText('Issued').filter({ visible: true }).waitFor();
    await page.getByRole('banner').getByRole('link', { name: 'Sites' }).click();
    await go('Quay Tavern');
    await page.getByRole('row', { name: new RegExp(`${last.title} Issued`) }).waitFor();
    await page.getByRole('link', { name: /With Quay Hospitality/ }).click();
    await arrived('Quay Hospitality');
    await page.getByRole('row', { name: /Quay Tavern.*\$1/ }).waitFor();
    expect(await owner.look('party')).toEqual([]);
    expect(owner.complaints).toEqual([]);
  });

  it('asks before other terms reach into what is settled, and keeps what was typed', async () => {
    await page.goBack();
    await go('Record other terms');
    await page.getByLabel('These terms hold from').fill(last.day(1));
    await page.getByLabel('What becomes of a loss').check();
    await page.getByLabel('Instead').selectOption({ label: 'Borne by the shares' });
    await press('Record the terms');
    await page.getByRole('heading', { name: '2 things need a correction' }).waitFor();
    expect(await owner.look('other-terms')).toEqual([]);
    await page.getByRole('checkbox', { name: 'Settle them again by difference' }).check();
    await page.getByLabel('Reason').fill('As the signed paper says');
    await press('Record the terms');
    await page.getByRole('heading', { name: /^Terms from/ }).first().waitFor();
    expect(owner.complaints).toEqual([]);
  });

  it('shows a phone all of it without scrolling across, and an auditor nothing to press', async () => {
    const auditor = await running.visit({ device: 'phone', dark: true });
    const at = `/operators/${running.api.operator.code}`;
    await auditor.page.goto(`${at}/sites`);
    await signIn(auditor, running.api.operator.as('auditor'));
    await auditor.page.getByRole('main').getByRole('link', { name: 'Quay Tavern' }).click();
    await auditor.page.getByRole('heading', { name: /^Terms from/ }).first().waitFor();
    expect(await auditor.page.getByRole('main').getByRole('button').count()).toBe(0);
    expect(await auditor.look('site')).toEqual([]);
    await auditor.page.getByRole('main').getByRole('link', { name: 'Q-1' }).click();
    await auditor.page.getByRole('row', { name: /Coin in/ }).waitFor();
    expect(await auditor.page.getByRole('main').getByRole('button').count()).toBe(0);
    expect(await auditor.look('machine')).toEqual([]);
    await auditor.page.goto(`${at}/set-up`);
    await auditor.page.getByText('This is not open to your role').waitFor();
    expect(auditor.complaints).toEqual([]);
    await auditor.context.close();
  });
});
