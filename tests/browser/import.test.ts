import { keyBooks } from '#tests/support/keys';
import { describeWithProgram } from '#tests/support/outside-program';
import { makeAgreement, makeMachine, makeParty, makePlacement, makeSite } from '#tests/support/set-up';
import { startConsole, signIn, type RunningConsole } from './support/console';
import { soon } from './support/soon';

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  beforeAll(async () => {
    running = await startConsole();
    const owner = running.api.operator.as('owner');
    const site = await makeSite(owner, { code: 'FERRY-1', name: 'Ferry Steps' });
    for (const tag of ['F-1', 'F-2']) {
      const machine = await makeMachine(owner, { tag });
      await makePlacement(owner, { machineId: machine.id, siteId: site.id });
    }
    await makeAgreement(owner, { siteId: site.id, partyId: (await makeParty(owner)).id });
  }, 180_000);
  afterAll(() => running.close());

  const csv = (name: string, ...lines: string[]) => ({ name, mimeType: 'text/csv', buffer: Buffer.from(['site,collected_on,machine,coin,note', ...lines, ''].join('\n')) });

  it('refuses a file with errors as a whole, and shows each with its place and reason', async () => {
    const person = await running.visit({ device: 'desk' });
    const { page } = person;
    await page.goto(`/operators/${running.api.operator.code}/collections/imports`);
    await signIn(person, running.api.operator.as('bookkeeper'));
    await page.getByText('No file has been handed over yet.').waitFor();
    await page.locator('summary').click();
    expect(await person.look('imports-empty')).toEqual([]);

    await page.getByRole('button', { name: 'Upload and check' }).click();
    await page.getByRole('link', { name: 'Choose a file' }).click();
    await page.getByLabel('CSV file').setInputFiles(csv('wrong.csv', 'FERRY-1,2026-10-05,F-1,12.50,20.00', 'FERRY-1,2026-10-05,X-9,1.00,0.00', 'FERRY-1,2026-10-05,F-2,-3.00,0.00'));
    await page.getByRole('button', { name: 'Upload and check' }).click();
    await page.getByRole('heading', { name: 'wrong.csv' }).waitFor();
    await page.getByText('2 errors: nothing of this file will be entered').waitFor();
    await page.getByRole('row', { name: /3 machine There is no machine with this tag. X-9/ }).waitFor();
    expect(await person.look('import-refused')).toEqual([]);
    await page.getByRole('button', { name: 'Negative amount 1' }).click();
    await soon(async () => expect(await page.getByRole('row').count()).toBe(2));
    expect(await page.getByRole('button', { name: 'Enter in the books' }).count()).toBe(0);
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });

  it('names a column that the first line lacks', async () => {
    const person = await running.visit({ device: 'desk' });
    const { page } = person;
    await page.goto(`/operators/${running.api.operator.code}/collections/imports`);
    await signIn(person, running.api.operator.as('bookkeeper'));
    await page.getByLabel('CSV file').setInputFiles({ name: 'headless.csv', mimeType: 'text/csv', buffer: Buffer.from('site,machine,coin\nFERRY-1,F-1,1.00\n') });
    await page.getByRole('button', { name: 'Upload and check' }).click();
    await page.getByRole('link', { name: 'First line, collected_on: This column is missing.' }).waitFor();
    await person.context.close();
  });

  it('takes a file of keys from an owner, from the set-up of keys to who holds which', async () => {
    const office = running.api.operator.as('owner');
    await keyBooks(running.api.operator).store('SAFE');
    const person = await running.visit({ device: 'desk' });
    const { page } = person;
    await page.goto(`/operators/${running.api.operator.code}/keys/set-up`);
    await signIn(person, office);
    await page.getByRole('link', { name: 'Import a file of keys and locks' }).click();
    await page.locator('summary').click();
    await page.getByRole('row', { name: /^opens play-area, cash-box or everything/ }).waitFor();
    expect(await person.look('import-keys')).toEqual([]);
    const lines = 'code,class,copy,store,machine,lock,opens\nCASH-7,cash-box,K-1,SAFE,,,\nCASH-7,cash-box,,,F-1,cash-door,cash-box\n';
    await page.getByLabel('CSV file').setInputFiles({ name: 'keys.csv', mimeType: 'text/csv', buffer: Buffer.from(lines) });
    await page.getByRole('button', { name: 'Upload and check' }).click();
    await page.getByText('2 lines, no errors. Nothing has entered the books yet.').waitFor();
    await page.getByRole('button', { name: 'Enter in the books' }).click();
    await page.getByText('2 lines have been entered in the books.').waitFor();
    await page.goto(`/operators/${running.api.operator.code}/keys`);
    await page.getByRole('row', { name: /^K-1 CASH-7 cash-box key Office safe SAFE .* 1 machine at 1 site$/ }).waitFor();
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });

  it('shows refunds that are not the sum of what the site entered, before the file enters and after', async () => {
    const owner = running.api.operator.as('owner');
    const { items } = (await owner.get('/v1/sites').expect(200)).body as { items: { id: string; code: string }[] };
    const siteId = items.find(({ code }) => code === 'FERRY-1')?.id;
    for (const amount of ['1.00', '1.50', '4.00']) await owner.post('/v1/refund-claims', { siteId, machineTag: 'F-1', refundedOn: '2026-10-05', amount: { amount, currency: 'USD' }, reason: 'Coin stuck' }).expect(201);
    const person = await running.visit({ device: 'desk' });
    const { page } = person;
    await page.goto(`/operators/${running.api.operator.code}/collections/imports`);
    await signIn(person, running.api.operator.as('bookkeeper'));
    const file = ['site,collected_on,machine,coin,refund', 'FERRY-1,2026-10-06,F-2,5.00,', 'FERRY-1,2026-10-06,F-1,12.50,2.50', ''].join('\n');
    await page.getByLabel('CSV file').setInputFiles({ name: 'refunds.csv', mimeType: 'text/csv', buffer: Buffer.from(file) });
    await page.getByRole('button', { name: 'Upload and check' }).click();
    const toLook = page.getByRole('region', { name: 'Refunds to look at' }).first();
    await toLook.getByRole('row', { name: '3 FERRY-1 F-1 2.50 3 slips, $6.50' }).waitFor();
    await toLook.getByText('Correct the file, or refuse the slips that are in the sum').waitFor();
    expect(await person.look('import-refunds')).toEqual([]);
    await page.getByRole('button', { name: 'Enter in the books' }).click();
    await page.getByText('2 lines have been entered in the books.').waitFor();
    await toLook.getByRole('row', { name: /^\S+.* FERRY-1 F-1 2\.50 3 slips, \$6\.50$/ }).getByRole('link').waitFor();
    // What is in the books is not corrected in the file.
    expect(await toLook.innerText()).toContain('the slips stay open. Refuse the slips that are in the sum');
    await toLook.getByRole('link', { name: 'Show the open slips' }).click();
    await soon(async () => expect(await page.getByText(/^A file had \$2\.50 of refunds for this machine on .*, in one sum\. This slip may be in it/).count()).toBe(3));
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });

  it('enters a good file when told to, and knows the same file again', async () => {
    const person = await running.visit({ device: 'phone' });
    const { page } = person;
    const good = csv('october.csv', 'FERRY-1,2026-10-05,F-1,12.50,20.00', 'FERRY-1,2026-10-05,F-2,8.25,0.00');
    await page.goto(`/operators/${running.api.operator.code}/collections/imports`);
    await signIn(person, running.api.operator.as('bookkeeper'));
    await page.getByLabel('CSV file').setInputFiles(good);
    await page.getByRole('button', { name: 'Upload and check' }).click();
    await page.getByText('2 lines, no errors. Nothing has entered the books yet.').waitFor();
    expect(await person.look('import-staged')).toEqual([]);
    await page.getByRole('button', { name: 'Enter in the books' }).click();
    await page.getByText('2 lines have been entered in the books.').waitFor();

    await page.getByRole('link', { name: 'All files' }).click();
    await page.getByRole('row', { name: /october.csv Entered/ }).waitFor();
    expect(await person.look('imports')).toEqual([]);
    await page.getByLabel('CSV file').setInputFiles(good);
    await page.getByRole('button', { name: 'Upload and check' }).click();
    await page.getByText(/The very same file was uploaded before, as october.csv/).waitFor();
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });
});
