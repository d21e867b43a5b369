import { addDays, type LocalDate } from '#domain/calendar/local-date';
import { count, makeCollection } from '#tests/support/collecting';
import { describeWithProgram } from '#tests/support/outside-program';
import { makePerson, makeRunningSite } from '#tests/support/set-up';
import { months } from './support/books';
import { signIn, startConsole, type RunningConsole } from './support/console';
import { soon } from './support/soon';

const { last } = months;

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  beforeAll(async () => {
    running = await startConsole();
  }, 180_000);
  afterAll(() => running?.close());

  it('shows the collections of one site and of all of them, and goes on past the first page to the last one', async () => {
    const { operator } = running.api;
    const office = operator.as('owner');
    const [weir, lock] = [await makeRunningSite(office, { site: { name: 'Weir Inn' } }), await makeRunningSite(office, { site: { name: 'Lock Inn' } })];
    const at = (minute: number) => new Date(Date.parse(`${last.day(3)}T12:00:00Z`) + minute * 60_000).toISOString();
    // Two whole pages, and a part of one.
    for (let each = 0; each < 105; each += 1) await makeCollection(office, weir.site, [count(weir.machine, `${String(each + 1)}.00`, '0.00')], { happenedAt: at(each) });
    await makeCollection(office, lock.site, [count(lock.machine, '7.25', '0.00')], { happenedAt: at(500) });
    const bookkeeper = await running.visit({ device: 'desk' });
    const { page } = bookkeeper;
    await page.goto(`/operators/${operator.code}/collections`);
    await signIn(bookkeeper, operator.as('bookkeeper'));
    const rows = (name: string) => page.getByRole('row').filter({ hasText: name });
    await rows('Lock Inn').waitFor();
    await rows('Weir Inn').first().waitFor();
    await page.getByLabel('Site').selectOption(`Lock Inn (${String(lock.site['code'])})`);
    await rows('Weir Inn').first().waitFor({ state: 'detached' });
    // The other list goes before this one has come.
    await rows('Lock Inn').waitFor();
    expect([await rows('Lock Inn').count(), await rows('Lock Inn').first().textContent()]).toEqual([1, expect.stringContaining('7.25')]);
    expect(page.url()).toContain(`siteId=${lock.site.id}`);
    expect(await bookkeeper.look('collections-of-site')).toEqual([]);
    await page.getByLabel('Site').selectOption('All sites');
    await rows('Weir Inn').first().waitFor();
    expect(page.url()).not.toContain('siteId');
    await page.getByLabel('Site').selectOption(`Weir Inn (${String(weir.site['code'])})`);
    await rows('Lock Inn').waitFor({ state: 'detached' });
    await rows('Weir Inn').first().waitFor();
    const more = page.getByRole('button', { name: 'Show more', exact: true });
    // Each page adds to what is there, without a double or a gap.
    for (let shown = 0; (await more.count()) > 0; ) {
      const before = await rows('Weir Inn').count();
      expect(before).toBeGreaterThan(shown);
      shown = before;
      await more.click();
      await soon(async () => expect(await rows('Weir Inn').count()).toBeGreaterThan(before));
    }
    const amounts = (await page.locator('tbody td:nth-child(5)').allTextContents()).map((text) => Number(text.replace(/[^\d.]/g, '')));
    expect(amounts).toEqual(Array.from({ length: 105 }, (_, each) => 105 - each));
    expect(bookkeeper.complaints).toEqual([]);
    await bookkeeper.context.close();
  }, 240_000);

  it('lists more rounds than one answer of the api holds', async () => {
    const { operator } = running.api;
    const office = operator.as('owner');
    const orla = await makePerson(office, { code: 'ORLA', name: 'Orla Venn' });
    const { site } = await makeRunningSite(office);
    const today = new Intl.DateTimeFormat('en-CA', { timeZone: 'America/Chicago' }).format(new Date()) as LocalDate;
    for (let each = 0; each < 205; each += 1) await office.post('/v1/rounds', { name: `Round ${String(each + 1)}`, plannedOn: addDays(today, each + 2), collectorId: orla.id, siteIds: [site.id] }).expect(201);
    const bookkeeper = await running.visit({ device: 'desk' });
    const { page } = bookkeeper;
    await page.goto(`/operators/${operator.code}/rounds`);
    await signIn(bookkeeper, operator.as('bookkeeper'));
    await page.getByRole('heading', { name: /^Round 205,/ }).waitFor();
    await page.getByRole('heading', { name: /^Round 1,/ }).waitFor();
    expect(await page.getByRole('heading', { name: /^Round \d+,/ }).count()).toBe(205);
    expect(bookkeeper.complaints).toEqual([]);
    await bookkeeper.context.close();

    // So does the history: page after page, each thing once, to the one that was entered first.
    const auditor = await running.visit({ device: 'desk' });
    await auditor.page.goto(`/operators/${operator.code}/audit?kind=collection_round`);
    await signIn(auditor, operator.as('auditor'));
    const entries = auditor.page.locator('tbody tr');
    await entries.first().waitFor();
    const more = auditor.page.getByRole('button', { name: 'Show more', exact: true });
    for (let pages = 1; (await more.count()) > 0; pages += 1) {
      const shown = await entries.count();
      expect(shown).toBeLessThan(205);
      await more.click();
      await soon(async () => expect(await entries.count()).toBeGreaterThan(shown));
    }
    const told = await entries.locator('td:nth-child(4)').allTextContents();
    expect(told).toEqual(Array.from({ length: 205 }, (_, each) => `Round ${String(205 - each)}`));
    expect(auditor.complaints).toEqual([]);
    await auditor.context.close();
  }, 240_000);
});
