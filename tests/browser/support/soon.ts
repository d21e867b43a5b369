import { setTimeout as pause } from 'node:timers/promises';
import { patienceMs } from './slow';

const PAUSE_MS = 50;

/**
 * Checks again and again until it holds, for as long as a page is waited for elsewhere; then throws what failed last.
 * For what a page shows a moment after it was asked: the number of its rows, the options of a field, where the focus is.
 */
export async function soon(check: () => Promise<void>): Promise<void> {
  const end = Date.now() + patienceMs;
  for (;;) {
    try {
      return await check();
    } catch (failure) {
      if (Date.now() >= end) throw failure;
      await pause(PAUSE_MS);
    }
  }
}
