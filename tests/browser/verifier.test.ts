/** The receiver of statements checks them in a browser, signed in nowhere, from the file on their disk and as it is served. */
import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { builtConsole } from './support/built-console';
import { accept, collect, issueMonth, makeAreaWithTax, makeSharedSite, months } from './support/books';
import { signIn, startConsole, type RunningConsole } from './support/console';
import { soon } from './support/soon';
import { settlementOf } from '#tests/support/closing';
import { runVite } from '#tests/support/build-console';
import { statementOf } from '#tests/support/january-statement';
import { describeWithProgram } from '#tests/support/outside-program';
import { stampingBy, startTimestampAuthority, type TimestampAuthority } from '#tests/support/timestamp-authority';
import { verifyStatement } from '#statement/verify/verify-statement';

let running: RunningConsole;
let folder: string;
let fingerprint = '';

beforeAll(async () => {
  running = await startConsole();
  folder = mkdtempSync(join(tmpdir(), 'verifier-'));
  const { operator } = running.api;
  const owner = operator.as('owner');
  const area = await makeAreaWithTax(owner);
  const shared = await makeSharedSite(owner, { code: 'QUAY', name: 'The Quay', id: operator.siteId, taxAreaId: area.id });
  for (const month of [months.before, months.last]) {
    await accept(owner, await collect(owner, shared, { on: month.day(10), coin: '312.25' }));
    await issueMonth(operator, month);
    const settlement = await settlementOf(running.api, { siteId: shared.site.id, startsOn: month.startsOn });
    const pdf = (await owner.get(`/v1/settlements/${settlement.id}/statement`).expect(200)).body as Buffer;
    writeFileSync(join(folder, month === months.before ? 'first.pdf' : 'second.pdf'), pdf);
    fingerprint = (await verifyStatement(pdf)).signature?.certificateFingerprint ?? '';
    writeFileSync(join(folder, 'changed.pdf'), Buffer.from(pdf.toString('latin1').replace('/MediaBox [0 0 595', '/MediaBox [0 0 695').replace('/MediaBox [0 0 612', '/MediaBox [0 0 712'), 'latin1'));
  }
}, 180_000);
afterAll(async () => {
  await running.close();
  rmSync(folder, { recursive: true });
});

const file = (name: string): string => join(folder, name);

describeWithProgram('chromium', 'chromium', () => {
  it.each(['phone', 'desk'] as const)('finds everything in order, follows the log, and knows the signer (%s)', async (device) => {
    const { page, look, complaints, context } = await running.visit({ device });
    await page.goto('/verifier.html');
    await context.setOffline(true);
    await page.getByLabel('Choose statements').setInputFiles([file('first.pdf'), file('second.pdf')]);
    const second = page.getByRole('region', { name: 'second.pdf' });
    await second.getByRole('heading', { name: 'In order, if the fingerprint below is the operator’s' }).waitFor();
    await soon(async () => expect(await second.getByText('Holds', { exact: true }).count()).toBe(7));
    await soon(async () => expect(await second.getByText('The Quay Hospitality').count()).toBe(1));
    await page.getByRole('region', { name: 'From statement to statement' }).getByText('lies unchanged in the log').waitFor();

    const field = second.getByLabel('Fingerprint that you were given in print');
    await field.fill('00'.repeat(32));
    await second.getByRole('heading', { name: 'Not the certificate on your paper' }).waitFor();
    await field.fill(fingerprint.toUpperCase().replace(/(..)/g, '$1 '));
    await second.getByText('The two are the same').waitFor();
    await second.getByRole('heading', { name: 'All that can be checked here holds' }).waitFor();
    await second.getByRole('button', { name: 'Keep it' }).click();
    await second.getByText('the fingerprint that you kept').waitFor();
    await page.getByRole('region', { name: 'Fingerprints kept' }).getByRole('button', { name: 'Forget fingerprint 1' }).waitFor();
    expect(await look(`verifier-${device}`)).toEqual([]);
    await context.setOffline(false);
    await page.reload();
    await page.getByLabel('Choose statements').setInputFiles(file('first.pdf'));
    const first = page.getByRole('region', { name: 'first.pdf' });
    await first.getByText('the fingerprint that you kept').waitFor();
    const [answer] = await Promise.all([context.waitForEvent('page'), first.getByRole('link', { name: 'Ask the operator’s server' }).click()]);
    await answer.getByText('This statement is in force').waitFor();
    expect(await look(`statement-standing-${device}`, answer)).toEqual([]);
    expect(complaints).toEqual([]);
  });

  it('is told to sites on a sheet that the office prints, with the fingerprint', async () => {
    const person = await running.visit({ device: 'desk' });
    await person.page.goto(`/operators/${running.api.operator.code}/signature`);
    await signIn(person, running.api.operator.as('bookkeeper'));
    await person.page.getByRole('heading', { name: 'Fingerprint of the certificate in use' }).waitFor();
    await person.page.getByText((fingerprint.toUpperCase().match(/../g) ?? []).join(' ')).waitFor();
    await person.page.getByText('SHA-256 of its file').waitFor();
    expect(await person.look('signature-sheet')).toEqual([]);
    await person.page.getByRole('link', { name: /verifier\.html$/ }).click();
    await person.page.getByRole('heading', { name: 'Check a settlement statement' }).waitFor();
  });

  it('names what was changed, and what is no statement, from the file on a disk', async () => {
    const { page, look } = await running.visit({ device: 'desk', dark: true });
    const html = file('verifier.html');
    writeFileSync(html, readFileSync(join(await builtConsole(), 'verifier.html')));
    writeFileSync(file('letter.pdf'), '%PDF-1.7 Dear site');
    writeFileSync(file('photo.jpg'), Buffer.from('ffd8ffe000104a464946', 'hex'));
    await page.goto(pathToFileURL(html).href);
    await page.getByLabel('Choose statements').setInputFiles([file('changed.pdf'), file('letter.pdf'), file('photo.jpg')]);
    const changed = page.getByRole('region', { name: 'changed.pdf' });
    await changed.getByRole('heading', { name: 'Do not rely on this file' }).waitFor();
    await changed.getByText('the file was changed after it was signed').waitFor();
    await changed.getByText('the page is another').waitFor();
    // From a disk there is nothing to press.
    expect(await changed.getByRole('link').count()).toBe(0);
    await page.getByRole('region', { name: 'letter.pdf' }).getByText('The file is not signed.').waitFor();
    await page.getByRole('region', { name: 'photo.jpg' }).getByText('This is no PDF file').waitFor();
    expect(await look('verifier-changed')).toEqual([]);
  });

  describeWithProgram('openssl', 'openssl', () => {
    let authority: TimestampAuthority;
    beforeAll(() => {
      authority = startTimestampAuthority({ name: 'Uhr & Söhne' });
    });
    afterAll(() => authority.close());

    it.each([
      ['de-DE', 'phone', { stamped: 'Zeitgestempelt von Uhr & Söhne am', missing: 'es ist keiner da: Er wurde entfernt', fails: 'Verlassen Sie sich nicht auf diese Datei', holdsIf: 'In Ordnung, wenn' }],
      ['es-MX', 'desk', { stamped: 'Sellada por Uhr & Söhne el', missing: 'no hay ninguno: se quitó', fails: 'No se fíe de este archivo', holdsIf: 'En orden, si' }],
    ] as const)('says by whom a signature was stamped and when, and that a stamp was taken out, in the language of the statement (%s, %s)', async (locale, device, told) => {
      const facts = { isStamped: true, locale } as const;
      writeFileSync(file(`stamped-${locale}.pdf`), await statementOf({ facts, stampSignature: stampingBy(authority) }));
      writeFileSync(file(`missing-${locale}.pdf`), await statementOf({ facts, number: 'T-2026-000002' }));
      const { page, look, complaints } = await running.visit({ device });
      await page.goto('/verifier.html');
      await page.locator('input[type=file]').setInputFiles([file(`stamped-${locale}.pdf`), file(`missing-${locale}.pdf`)]);
      const stamped = page.getByRole('region', { name: `stamped-${locale}.pdf` });
      await stamped.getByRole('heading', { name: told.holdsIf }).waitFor();
      await stamped.getByText(told.stamped).waitFor();
      const missing = page.getByRole('region', { name: `missing-${locale}.pdf` });
      await missing.getByRole('heading', { name: told.fails }).waitFor();
      await missing.getByText(told.missing).waitFor();
      // No mark runs into the words beside it.
      expect(await page.locator('.finding-mark').evaluateAll((marks) => marks.filter((mark) => mark.scrollWidth > mark.clientWidth).length)).toBe(0);
      expect(await look(`verifier-stamped-${locale}`)).toEqual([]);
      expect(complaints).toEqual([]);
    });
  });

  it('sends nothing, and could not if it wanted to', async () => {
    const { page } = await running.visit({ device: 'desk' });
    await page.goto('/verifier.html');
    const asked: string[] = [];
    page.on('request', (request) => asked.push(request.url()));
    const sent = await page.evaluate(() => fetch('/health/live').then(() => 'sent', () => 'stopped'));
    expect(sent).toBe('stopped');
    await page.getByLabel('Choose statements').setInputFiles(file('first.pdf'));
    await page.getByRole('region', { name: 'first.pdf' }).getByRole('heading', { name: 'In order, if the fingerprint' }).waitFor();
    expect(asked.filter((url) => !url.startsWith('blob:') && !url.startsWith('data:'))).toEqual([]);
  });
});

it('is built to the same bytes from the same sources, and its digest is published beside it', async () => {
  const served = await running.api.anonymous.get('/verifier.html').expect(200);
  expect(served.headers['content-security-policy']).toMatch(/^default-src 'none'; script-src 'sha256-[^;]+; .*connect-src 'none'.*frame-ancestors 'none'$/);
  const published = (await running.api.anonymous.get('/verifier.html.sha256').buffer(true).expect(200)).body as Buffer;
  expect(String(published)).toBe(`${createHash('sha256').update(served.text).digest('hex')}  verifier.html\n`);
  await runVite('apps/console/verifier/vite.config.mts', folder);
  expect(readFileSync(file('verifier.html.sha256'), 'utf8')).toBe(String(published));
}, 180_000);
