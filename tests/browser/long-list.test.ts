import { describeWithProgram } from '#tests/support/outside-program';
import { makeSharedSite, months, makeAreaWithTax } from './support/books';
import { startConsole, signIn, type RunningConsole } from './support/console';

const rowCount = 1000;

type Row = { agreementId: string; siteId: string; siteCode: string; siteName: string };

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  beforeAll(async () => {
    running = await startConsole();
    const owner = running.api.operator.as('owner');
    await makeSharedSite(owner, { code: 'ONE', name: 'The only one', taxAreaId: (await makeAreaWithTax(owner)).id });
  }, 180_000);
  afterAll(() => running?.close());

  it('scrolls, filters and sorts a thousand sites without a pause, and loads without moving', async () => {
    const { page, context, complaints } = await running.visit({ device: 'desk' });
    // One real row, told a thousand times in pages as long as the api's: what is measured is the console.
    await page.route('**/v1/month-end/agreements*', async (route) => {
      const url = new URL(route.request().url());
      const from = Number(url.searchParams.get('cursor') ?? 0);
      url.searchParams.delete('cursor');
      const { items } = (await (await route.fetch({ url: url.href })).json()) as { items: Row[] };
      const rows = Array.from({ length: 200 }, (_, index) => ({
        ...items[0], agreementId: `00000000-0000-4000-8000-${String(from + index).padStart(12, '0')}`, siteCode: `S-${from + index}`, siteName: `Site number ${from + index}`,
      }));
      await route.fulfill({ json: { items: rows, next: from + 200 < rowCount ? String(from + 200) : null } });
    });
    await page.addInitScript(`
      self.pauses = []; self.moved = 0;
      new PerformanceObserver((list) => list.getEntries().forEach((entry) => self.pauses.push(entry.duration))).observe({ type: 'longtask', buffered: true });
      new PerformanceObserver((list) => list.getEntries().forEach((entry) => { if (!entry.hadRecentInput) self.moved += entry.value; })).observe({ type: 'layout-shift', buffered: true });
    `);
    const longestPause = () => page.evaluate<number>('Math.max(0, ...self.pauses.splice(0))');
    const address = `/operators/${running.api.operator.code}/month-end/month/${months.last.startsOn}`;
    await page.goto(address);
    await page.getByLabel('Password').waitFor();
    await signIn({ page, context, complaints, look: async () => [] }, running.api.operator.as('bookkeeper'));
    await page.getByText('1,000 sites').waitFor();
    await page.reload();
    await page.getByText('1,000 sites').waitFor();
    expect(await page.evaluate<number>('self.moved')).toBeLessThan(0.1);
    // The measurement sees a pause when there is one.
    await page.evaluate('setTimeout(() => { const end = performance.now() + 120; while (performance.now() < end); })');
    await page.waitForFunction('self.pauses.some((pause) => pause >= 100)');

    const pauses: number[] = [];
    for (let attempt = 0; attempt < 3; attempt += 1) {
      await longestPause();
      for (let turn = 0; turn < 30; turn += 1) {
        await page.mouse.wheel(0, 1500);
        await page.waitForTimeout(30);
      }
      const scrolling = await longestPause();
      // Few rows are in the page, but the table says how many there are.
      expect(await page.getByRole('row').count()).toBeLessThan(100);
      expect(await page.getByRole('table').getAttribute('aria-rowcount')).toBe('1001');

      await page.evaluate('scrollTo(0, 0)');
      await page.getByLabel('Find a site').pressSequentially('number 77', { delay: 30 });
      await page.getByText('19 of 1,000 sites').waitFor();
      const filtering = await longestPause();
      await page.getByLabel('Find a site').fill('');
      await page.getByRole('button', { name: 'Site', exact: true }).click();
      await page.getByRole('row', { name: /Site number 999/ }).waitFor();
      pauses.push(Math.max(scrolling, filtering, await longestPause()));
      if (pauses.some((pause) => pause < 200)) break;
      await page.goto(address);
      await page.getByText('1,000 sites').waitFor();
    }
    // What else runs on the machine adds to a pause and never takes from it: the shortest says what the console does.
    expect(Math.min(...pauses)).toBeLessThan(200);
    expect(complaints).toEqual([]);
    await context.close();
  });
});
