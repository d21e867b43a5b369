import { describeWithProgram } from '#tests/support/outside-program';
import { startConsole, type RunningConsole } from './support/console';
import { narrow, openThousandSites, reorder, scrollOn } from './support/thousand-sites';

// How long it pauses meanwhile is measured by `npm run bench -- long-list`.
describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  beforeAll(async () => {
    running = await startConsole();
  }, 180_000);
  afterAll(() => running?.close());

  it('scrolls, filters and sorts a thousand sites with few of them in the page, and loads without moving', async () => {
    const visit = await running.visit({ device: 'desk' });
    const { page, complaints } = visit;
    await page.addInitScript(`
      self.moved = 0;
      new PerformanceObserver((list) => list.getEntries().forEach((entry) => { if (!entry.hadRecentInput) self.moved += entry.value; })).observe({ type: 'layout-shift', buffered: true });
    `);
    await openThousandSites({ api: running.api, visit });
    await page.reload();
    await page.getByText('1,000 sites').waitFor();
    expect(await page.evaluate<number>('self.moved')).toBeLessThan(0.1);
    await scrollOn(page);
    // Few rows are in the page, but the table says how many there are.
    expect(await page.getByRole('row').count()).toBeLessThan(100);
    expect(await page.getByRole('table').getAttribute('aria-rowcount')).toBe('1001');
    await narrow(page);
    await reorder(page);
    expect(complaints).toEqual([]);
  });
});
