import type { Page } from 'playwright-core';
import type { TestApi } from '#tests/support/api';
import { makeAreaWithTax, makeSharedSite, months } from './books';
import { signIn } from './console';
import type { Visit } from './browser';

const rowCount = 1000;

type Row = { agreementId: string; siteId: string; siteCode: string; siteName: string };

/** One site of the books, told a thousand times in pages as long as the api's: what is looked at is the console. */
export async function openThousandSites({ api, visit }: { api: TestApi; visit: Visit }): Promise<void> {
  const { page } = visit;
  const owner = api.operator.as('owner');
  await makeSharedSite(owner, { code: 'ONE', name: 'The only one', taxAreaId: (await makeAreaWithTax(owner)).id });
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
  await page.goto(`/operators/${api.operator.code}/month-end/month/${months.last.startsOn}`);
  await page.getByLabel('Password').waitFor();
  await signIn(visit, api.operator.as('bookkeeper'));
  await page.getByText('1,000 sites').waitFor();
}

/** Scrolls through the list; whoever measures does so while it happens. */
export async function scrollOn(page: Page): Promise<void> {
  for (let turn = 0; turn < 30; turn += 1) {
    await page.mouse.wheel(0, 1500);
    await page.waitForTimeout(30);
  }
}

/** Narrows the list to nineteen sites by typing. */
export async function narrow(page: Page): Promise<void> {
  await page.evaluate('scrollTo(0, 0)');
  await page.getByLabel('Find a site').pressSequentially('number 77', { delay: 30 });
  await page.getByText('19 of 1,000 sites').waitFor();
}

/** Shows all sites again, in another order. */
export async function reorder(page: Page): Promise<void> {
  await page.getByLabel('Find a site').fill('');
  // As they come, then by site, then the other way round.
  await page.getByRole('button', { name: 'Site', exact: true }).click();
  await page.locator('th[aria-sort="ascending"]').waitFor();
  await page.getByRole('button', { name: 'Site', exact: true }).click();
  await page.getByRole('row', { name: /Site number 999/ }).waitFor();
}
