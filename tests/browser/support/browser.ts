import axe from 'axe-core';
import { mkdirSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium, type Browser, type BrowserContext, type Page } from 'playwright-core';
import { filesUnderTest } from '../../support/batch';
import { tellOfFailures } from './failures';
import { looksAt, screenAt, unseenBy } from './screens';
import { isSlow, patienceMs, slowDown } from './slow';

/** Sizes at which people use the console. */
export const devices = {
  desk: { viewport: { width: 1280, height: 900 } },
  phone: { viewport: { width: 390, height: 844 }, isMobile: true, hasTouch: true },
} as const;
export type Device = keyof typeof devices;

export type Visit = {
  readonly page: Page;
  readonly context: BrowserContext;
  /** Keeps a picture, and gives back what is wrong for people who cannot see, hear or point, and what does not fit the width. `at`: another page of theirs. */
  readonly look: (name: string, at?: Page) => Promise<string[]>;
  /** Everything the page complained about: scripts that broke, and what the content security policy stopped. */
  readonly complaints: readonly string[];
};

/** Pictures are for people to look at; they are kept outside the project. */
const pictureFolder = process.env['SCREENSHOTS'] ?? join(tmpdir(), 'shots');

/** Pages that were opened and are not closed yet. */
const openPages = new Set<Page>();
tellOfFailures(openPages, pictureFolder);

/** Screens that were looked at in the test files that run as one. */
const seen = new Set<string>();

/** Whoever has this module outside a test measures. */
if ('afterAll' in globalThis) {
  afterAll(() => {
    // Where only some tests ran, or one failed before its look, nothing follows from what was not seen.
    if (isSlow || 'notAllPassed' in globalThis) return;
    expect(unseenBy(filesUnderTest(), seen)).toEqual([]);
  });
}

/**
 * What Chromium goes without. The lists under the address bar are pages of its own: each window loads some hundred and eighty scripts
 * for them, twice, and nobody sees one here; without them a person's first page takes 1.0 s of processor time instead of 1.6.
 * Chromium heeds the last such list alone, so the others are those that playwright-core leaves out (chromiumSwitches).
 */
const LEFT_OUT = [
  ...['WebUIOmniboxPopup', 'WebUIOmniboxAimPopup', 'WebUIOmniboxFullPopup'],
  ...['AvoidUnnecessaryBeforeUnloadCheckSync', 'DestroyProfileOnBrowserClose', 'HttpsUpgrades', 'HttpsFirstBalancedModeAutoEnable', 'LensOverlay', 'MediaRouter', 'PaintHolding'],
  ...['ThirdPartyStoragePartitioning', 'AvoidCorsURLLoaderRestartOnRedirect', 'OptimizationHints', 'NetworkTimeServiceQuerying', 'AimEnabled', 'PreconnectToSearch'],
];

export async function openChromium(): Promise<Browser> {
  mkdirSync(pictureFolder, { recursive: true });
  // There is no graphics card to look for. Where the tests run as root, in a container, Chromium's own sandbox cannot be set up.
  const args = [`--disable-features=${LEFT_OUT.join(',')}`, '--disable-gpu', ...(process.getuid?.() === 0 ? ['--no-sandbox'] : [])];
  return chromium.launch({ executablePath: '/usr/bin/chromium', args });
}

/** A browser of its own for one person. */
export async function visit(browser: Browser, { baseUrl, device, dark = false }: { baseUrl: string; device: Device; dark?: boolean }): Promise<Visit> {
  const context = await browser.newContext({
    ...devices[device],
    baseURL: baseUrl,
    locale: 'en-US',
    timezoneId: 'America/Chicago',
    colorScheme: dark ? 'dark' : 'light',
    reducedMotion: 'reduce',
  });
  context.on('page', (opened) => {
    openPages.add(opened);
    opened.on('close', () => openPages.delete(opened));
  });
  context.setDefaultTimeout(patienceMs);
  await slowDown(context);
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('console', (message) => {
    // The browser reports each refused request; whether one was to be refused is for the test to say.
    if (message.type() === 'error' && !message.text().startsWith('Failed to load resource')) complaints.push(message.text());
  });
  const look = async (name: string, at = page): Promise<string[]> => {
    // How a page looks does not depend on its speed, and asking takes long enough for whatever is late to come.
    if (isSlow) return [];
    await at.screenshot({ path: join(pictureFolder, `${device}${dark ? '-dark' : ''}-${name}.png`), fullPage: true });
    const found = [...(await violations(at)), ...(await overflow(at))];
    const screen = screenAt(at.url());
    if (!seen.has(screen) && looksAt(filesUnderTest(), screen)) found.push(...(await otherColours(at, { dark })));
    seen.add(screen);
    if (device === 'phone') return found;
    // WCAG 2.2, 1.4.4: at twice the size, which is a window of half the width, everything is still there.
    await at.setViewportSize({ width: devices.desk.viewport.width / 2, height: devices.desk.viewport.height / 2 });
    found.push(...(await overflow(at)));
    await at.setViewportSize(devices.desk.viewport);
    return found;
  };
  return { page, context, look, complaints };
}

/** WCAG 2.2 up to AA and the common good practice, as far as a program can tell. */
const allRules = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];

/** What is another in light than in dark: the colours alone. */
async function otherColours(page: Page, { dark }: { dark: boolean }): Promise<string[]> {
  await page.emulateMedia({ colorScheme: dark ? 'light' : 'dark' });
  const found = await violations(page, { type: 'rule', values: ['color-contrast'] });
  await page.emulateMedia({ colorScheme: dark ? 'dark' : 'light' });
  return found.map((each) => `${dark ? 'light' : 'dark'}: ${each}`);
}

async function violations(page: Page, runOnly: axe.RunOptions['runOnly'] = allRules): Promise<string[]> {
  // It stays in a page until the next one is loaded.
  if (!(await page.evaluate<boolean>("'axe' in self"))) await page.evaluate(axe.source);
  const { violations: found } = await page.evaluate<axe.AxeResults>(`axe.run(document, { runOnly: ${JSON.stringify(runOnly)}, resultTypes: ['violations'], selectors: false })`);
  return found.flatMap(({ id, nodes }) => nodes.map((node) => `${id}: ${node.html.slice(0, 200)} ${node.failureSummary ?? ''}`));
}

/** WCAG 2.2, 1.4.10: nothing but a table may be wider than the window. */
async function overflow(page: Page): Promise<string[]> {
  const { content, window } = await page.evaluate<{ content: number; window: number }>(
    '({ content: document.documentElement.scrollWidth, window: document.documentElement.clientWidth })',
  );
  return content > window ? [`the page is ${content} wide in a window of ${window}`] : [];
}
