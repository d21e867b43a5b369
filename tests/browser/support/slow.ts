import { setTimeout as pause } from 'node:timers/promises';
import type { BrowserContext } from 'playwright-core';

/** How many times slower than this machine the browser computes: a slow phone without a busy machine. */
const slowness = Number(process.env['SLOW_BROWSER'] ?? 1);
/** How long an answer of the api may take on its way, in milliseconds: each takes its own time, so that they come in other orders. */
const slowestAnswerMs = Number(process.env['SLOW_ANSWERS'] ?? 0);

export const isSlow = slowness > 1 || slowestAnswerMs > 0;

/** How long a test waits for what a page is about to show. */
export const patienceMs = 30_000 * (isSlow ? Math.max(slowness, 4) : 1);

/** Slows every page of a browser down as the environment says. */
export async function slowDown(context: BrowserContext): Promise<void> {
  if (slowness > 1) {
    context.on('page', (page) => {
      // A page that is closed at once cannot be slowed down any more.
      const slowed = context.newCDPSession(page).then((session) => session.send('Emulation.setCPUThrottlingRate', { rate: slowness }));
      slowed.catch(() => undefined);
    });
  }
  if (slowestAnswerMs > 0) {
    await context.route('**/v1/**', async (route) => {
      await pause(Math.random() * slowestAnswerMs);
      // Whoever asked may have gone.
      await route.fallback().catch(() => undefined);
    });
  }
}
