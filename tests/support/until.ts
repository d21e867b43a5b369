import { setTimeout as pause } from 'node:timers/promises';

const MINUTE_MS = 60_000;
const PAUSE_MS = 25;

/** Waits for what comes about in another process or on another connection; a minute, which a busy machine does not take. */
export async function until(condition: () => boolean | Promise<boolean>): Promise<void> {
  for (const end = performance.now() + MINUTE_MS; performance.now() < end; await pause(PAUSE_MS)) {
    if (await condition()) return;
  }
  throw new Error('waited a minute in vain');
}
