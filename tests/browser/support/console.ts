import type { Browser, Page } from 'playwright-core';
import type { FixedClock } from '#runtime/clock';
import { startTestApi, TEST_PASSWORD, type TestApi, type TestApiOptions, type TestClient } from '#tests/support/api';
import { freePort } from '#tests/support/free-port';
import { openChromium, visit, type Device, type Visit } from './browser';
import { builtConsole } from './built-console';

export type RunningConsole = {
  readonly api: TestApi;
  /** A browser of a person's own, not signed in yet. */
  readonly visit: (how: { device: Device; dark?: boolean }) => Promise<Visit>;
  readonly close: () => Promise<void>;
};

let shared: Promise<Browser> | undefined;
/** Whoever has this module outside a test opens a browser of their own. */
if ('afterAll' in globalThis) afterAll(async () => (await shared)?.close());

/** The browser of all tests that run together; starting one takes as long as twenty pages. Everybody in it has a context of their own. */
function sharedChromium(): Promise<Browser> {
  shared ??= openChromium().then((browser) => browser.on('disconnected', () => (shared = undefined)));
  return shared;
}

/** The console of today's sources, served by the api as users get it, with a browser to look at it. */
export async function startConsole(options: Pick<TestApiOptions, 'whyUnreachable'> = {}): Promise<RunningConsole> {
  const directory = await builtConsole();
  const port = await freePort();
  const api = await startTestApi({ clock: goingClock(), port, publicOrigin: `http://127.0.0.1:${port}`, consoleDirectory: directory, ...options });
  const browser = await sharedChromium();
  const visits: Visit[] = [];
  return {
    api,
    visit: async (how) => {
      const opened = await visit(browser, { baseUrl: api.url, ...how });
      visits.push(opened);
      return opened;
    },
    close: async () => {
      // One that a test closed itself is closed already, which does no harm.
      for (const { context } of visits) await context.close();
      await api.close();
    },
  };
}

/** The clock of this machine, which the browser has too, put forward where a test says so. */
export function goingClock(): FixedClock {
  let ahead = 0;
  return {
    now: () => new Date(Date.now() + ahead),
    advance: ({ milliseconds }) => {
      ahead += milliseconds;
    },
    set: (instant) => {
      ahead = instant.getTime() - Date.now();
    },
  };
}

/** Signs in through the form, as people do. */
export async function signIn({ page }: Visit, person: Pick<TestClient, 'email'>): Promise<void> {
  await page.getByLabel('E-mail address').fill(person.email);
  await page.getByLabel('Password').fill(TEST_PASSWORD);
  await page.getByRole('button', { name: 'Sign in' }).click();
}

/** The page anew in another language, as this browser keeps it. */
export async function speak(page: Page, language: 'en' | 'de' | 'es'): Promise<void> {
  await page.evaluate(`localStorage.setItem('latchledger-language', ${JSON.stringify(language)})`);
  await page.reload();
}
