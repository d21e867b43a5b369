import type { Page } from 'playwright-core';

/** What of a page comes onto paper: whether the frame with the ways to other screens does, how many buttons, and what is to be read. */
export async function onPaper(page: Page): Promise<{ readonly frame: boolean; readonly buttons: number; readonly text: string }> {
  await page.emulateMedia({ media: 'print' });
  const main = page.getByRole('main');
  const paper = { frame: await page.getByRole('banner').isVisible(), buttons: await main.locator('.button').filter({ visible: true }).count(), text: await main.innerText() };
  await page.emulateMedia({ media: null });
  return paper;
}
