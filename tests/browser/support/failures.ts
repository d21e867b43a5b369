import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import type { Page } from 'playwright-core';

const MOST_CHARACTERS = 1_500;
/** A page that does not answer holds the other tests up for no longer. */
const PATIENCE_MS = 30_000;

/**
 * When a test fails: prints where its pages are and what stands there, and keeps a picture of each, so that a failure on
 * another machine can be understood from its log. The test environment calls it. What has been told once is not told again.
 */
export function tellOfFailures(pages: ReadonlySet<Page>, folder: string): void {
  let told = '';
  let number = 0;
  Object.assign(globalThis, {
    tellOfFailure: async (what: string) => {
      const looks = await Promise.all([...pages].map(async (page) => Promise.race([lookOf(page), pause(PATIENCE_MS, `${page.url()} does not answer`)])));
      const telling = looks.join('\n\n');
      if (telling === told || telling === '') return;
      told = telling;
      number += 1;
      const name = join(folder, `failed-${process.pid}-${number}`);
      await Promise.all([...pages].map(async (page, index) => page.screenshot({ path: `${name}-${index + 1}.png`, timeout: PATIENCE_MS }).catch(() => undefined)));
      process.stderr.write(`\n● ${expect.getState().testPath ?? ''}: ${what}\npictures: ${name}-*.png\n${telling}\n\n`);
    },
  });
}

async function lookOf(page: Page): Promise<string> {
  try {
    const { title, text } = await page.evaluate<{ title: string; text: string }>('({ title: document.title, text: document.body.innerText })');
    return `${page.url()}\n${title}\n${text.replace(/\n\s*\n/g, '\n').slice(0, MOST_CHARACTERS)}`;
  } catch (error) {
    return `${page.url()}\n${String(error)}`;
  }
}
