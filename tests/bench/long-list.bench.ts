/**
 * The longest pause of the month-end list with a thousand sites while it is scrolled, narrowed and put in order, beside the
 * pause in which the same browser draws a bare table of as many rows.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { closeDatabase, createDatabase } from '#database/tenant';
import { startTestApi } from '#tests/support/api';
import { runVite } from '#tests/support/build-console';
import type { TestDatabase } from '#tests/support/database';
import { freePort } from '#tests/support/free-port';
import { withMigratedServer } from '#tests/support/migrated-server';
import { openChromium, visit } from '../browser/support/browser';
import { goingClock } from '../browser/support/console';
import { narrow, openThousandSites, reorder, scrollOn } from '../browser/support/thousand-sites';

export interface LongListBench {
  /** Milliseconds, of the quickest of some rounds: what else runs on the machine adds to a pause and never takes from it. At most 200 are meant, of each of the three. */
  readonly scrollingMs: number;
  readonly narrowingMs: number;
  readonly orderingMs: number;
  readonly bareTableMs: number;
  /** The longest of the three over the bare table. */
  readonly ratio: number;
}

const ROUNDS = 5;
/** Shorter tasks are not reported by the browser. */
const REPORTED_FROM_MS = 50;

export async function benchLongList(): Promise<LongListBench> {
  const folder = mkdtempSync(join(tmpdir(), 'long-list-bench-'));
  let figures: LongListBench | undefined;
  try {
    await runVite('apps/console/vite.config.mts', folder);
    await withMigratedServer(async (server) => {
      const superuser = new URL(server.superuserUrl);
      superuser.pathname = new URL(server.urls.app).pathname;
      const database = createDatabase({ appUrl: server.urls.app, poolSize: 8 });
      const db: TestDatabase = { name: 'long-list', database, urls: { ...server.urls, superuser: superuser.toString() }, drop: () => closeDatabase(database) };
      const port = await freePort();
      const api = await startTestApi({ db, clock: goingClock(), port, publicOrigin: `http://127.0.0.1:${port}`, consoleDirectory: folder });
      const browser = await openChromium();
      try {
        const person = await visit(browser, { baseUrl: api.url, device: 'desk' });
        const { page } = person;
        await page.addInitScript(`
          self.pauses = [];
          new PerformanceObserver((list) => list.getEntries().forEach((entry) => self.pauses.push(entry.duration))).observe({ type: 'longtask', buffered: true });
        `);
        /** The browser tells of a task a moment after it. */
        const longestOf = async (work: () => Promise<unknown>): Promise<number> => {
          await page.evaluate('self.pauses.splice(0)');
          await work();
          await page.waitForTimeout(200);
          return page.evaluate<number>(`Math.max(${REPORTED_FROM_MS}, ...self.pauses.splice(0))`);
        };
        await openThousandSites({ api, visit: person });
        const rounds: Omit<LongListBench, 'ratio'>[] = [];
        for (let round = 0; round < ROUNDS; round += 1) {
          const scrollingMs = await longestOf(() => scrollOn(page));
          const narrowingMs = await longestOf(() => narrow(page));
          const orderingMs = await longestOf(() => reorder(page));
          const address = page.url();
          await page.goto('about:blank');
          const bareTableMs = await page.evaluate<number>(bareTable);
          await page.goto(address);
          await page.getByText('1,000 sites').waitFor();
          rounds.push({ scrollingMs, narrowingMs, orderingMs, bareTableMs });
        }
        const least = (figure: keyof (typeof rounds)[number]): number => Math.min(...rounds.map((round) => round[figure]));
        const quickest = { scrollingMs: least('scrollingMs'), narrowingMs: least('narrowingMs'), orderingMs: least('orderingMs'), bareTableMs: least('bareTableMs') };
        figures = { ...quickest, ratio: Math.max(quickest.scrollingMs, quickest.narrowingMs, quickest.orderingMs) / quickest.bareTableMs };
      } finally {
        await browser.close();
        await api.close();
      }
    });
  } finally {
    rmSync(folder, { recursive: true });
  }
  if (figures === undefined) throw new Error('nothing was measured');
  return figures;
}

const bareTable = `(() => {
  const start = performance.now();
  document.body.innerHTML = '<table>' + Array.from({ length: 1000 }, (_, row) => '<tr>' + Array.from({ length: 8 }, (_, cell) => '<td>' + row + '.' + cell + '</td>').join('') + '</tr>').join('') + '</table>';
  document.body.getBoundingClientRect();
  return performance.now() - start;
})()`;
