/** How long a receiver waits in the browser for the verdict about one statement, after the page is loaded; beside the same check in Node. */
import { renderStatement } from '#statement/statement';
import { verifyStatement } from '#statement/verify/verify-statement';
import { runVite } from '#tests/support/build-console';
import { pageOfMonth } from '#tests/support/page-of-month';
import { operatorSigner, signed } from '#tests/support/signed-pdf';
import { openChromium } from '../browser/support/browser';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';

export interface VerifierBench {
  /** Median from choosing the file to the verdict on the page: the first one after a load, which also reads the fonts. */
  readonly browserMs: number;
  readonly slowestBrowserMs: number;
  /** Median of the same check in Node, fonts read before. */
  readonly nodeMs: number;
  readonly ratio: number;
}

const ROUNDS = 7;

export async function benchVerifier(): Promise<VerifierBench> {
  const folder = mkdtempSync(join(tmpdir(), 'verifier-bench-'));
  const { unsignedPdf } = await renderStatement(pageOfMonth({ locale: 'en-US', paper: 'Letter' }));
  const { signedPdf } = await signed(unsignedPdf, await operatorSigner('Harbour Lane Amusements'));
  const file = join(folder, 'statement.pdf');
  writeFileSync(file, signedPdf);
  await runVite('apps/console/verifier/vite.config.mts', folder);
  const browser = await openChromium();
  try {
    const browserTimes: number[] = [];
    const nodeTimes: number[] = [];
    for (let round = 0; round < ROUNDS; round += 1) {
      const page = await browser.newPage();
      await page.goto(pathToFileURL(join(folder, 'verifier.html')).href);
      const start = performance.now();
      await page.getByLabel('Choose statements').setInputFiles(file);
      await page.getByRole('region', { name: 'statement.pdf' }).getByRole('heading', { name: 'In order, if the fingerprint' }).waitFor();
      browserTimes.push(performance.now() - start);
      await page.close();
      const nodeStart = performance.now();
      await verifyStatement(signedPdf);
      nodeTimes.push(performance.now() - nodeStart);
    }
    const [browserMs, nodeMs] = [median(browserTimes), median(nodeTimes)];
    return { browserMs, slowestBrowserMs: Math.max(...browserTimes), nodeMs, ratio: browserMs / nodeMs };
  } finally {
    await browser.close();
    rmSync(folder, { recursive: true });
  }
}

function median(values: readonly number[]): number {
  return values.toSorted((left, right) => left - right)[Math.floor(values.length / 2)] ?? NaN;
}
