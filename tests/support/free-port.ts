import { randomInt } from 'node:crypto';
import { isPortFree } from '#runtime/port';

/** The system itself hands out ports from 32768 on to whoever asks for any. */
const [FIRST, END] = [20_000, 32_000];

/** A port of 127.0.0.1 that nobody listens on, and that nobody who asks for any is given before it is listened on. */
export async function freePort(): Promise<number> {
  for (;;) {
    const port = randomInt(FIRST, END);
    if (await isPortFree({ host: '127.0.0.1', port })) return port;
  }
}
