import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import type { CustodyEvent } from '#contracts/custody';
import { heldBy, inStore, keyBooks, atPlace, type KeyCopyOfTest } from '#tests/support/keys';
import { describeWithProgram } from '#tests/support/outside-program';
import { etag, makePerson, makeSite, type Made } from '#tests/support/set-up';
import { accept, collect, makeAreaWithTax, makeSharedSite, months, type RunningSite } from './support/books';
import type { Visit } from './support/browser';
import { startConsole, signIn, type RunningConsole } from './support/console';
import { soon } from './support/soon';

const { last, before } = months;

// A route owner looks for keys: who has them, who could open a box, what is to be looked after, what a loss would mean.
describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let owner: Visit;
  let page: Page;
  let quay: RunningSite;
  let orla: Made;
  let k1: KeyCopyOfTest;
  const at = (month: typeof last, day: number, hour = 8) => `${month.day(day)}T${String(hour).padStart(2, '0')}:00:00.000Z`;

  beforeAll(async () => {
    running = await startConsole();
    const { operator } = running.api;
    const office = operator.as('owner');
    const keys = keyBooks(operator);
    const taxAreaId = (await makeAreaWithTax(office)).id;
    quay = await makeSharedSite(office, { code: 'QUAY', name: 'Quay Tavern', taxAreaId, id: operator.siteId });
    const mill = await makeSharedSite(office, { code: 'MILL', name: 'Mill Diner', taxAreaId });
    orla = await makePerson(office, { code: 'ORLA', name: 'Orla Venn' });
    const keeper = await makePerson(office, { code: 'KAY', name: 'Kay Dorn' });
    const barkeeper = await makePerson(office, { code: 'BO', name: 'Bo Tarn', employedBy: 'site', siteId: quay.site.id });
    const [cash, door] = [await keys.cut({ class: 'cash-box', code: 'CASH-7', outsideCopies: true }), await keys.cut({ class: 'access', code: 'DOOR-1' })];
    const machines = [...quay.machines, ...mill.machines];
    for (const machine of machines) await keys.lock({ machineId: machine.id, cut: cash, opens: 'cash-box', fittedAt: at(before, 1) });
    for (const machine of quay.machines) await keys.lock({ machineId: machine.id, cut: door, opens: 'play-area', fittedAt: at(before, 1) });
    const safe = await keys.store('SAFE');
    await keys.custodian({ storeId: safe, personId: keeper.id, from: at(before, 1) });
    const hook = await keys.place({ siteId: quay.site.id, responsiblePersonId: barkeeper.id });
    const made = (number: string, cut: typeof cash) => keys.copy({ cut, storeId: safe, madeAt: at(before, 1), number });
    k1 = await made('K-1', cash);
    const [k2, k3, d1] = [await made('K-2', cash), await made('K-3', cash), await made('D-1', door)];
    await made('K-4', cash);
    await keys.happen(k1, { says: 'issued', at: at(before, 3), from: inStore(safe), to: heldBy(orla.id), dueBackAt: at(last, 20) });
    await keys.happen(k2, { says: 'issued', at: at(before, 5), from: inStore(safe), to: heldBy(orla.id) });
    await keys.happen(k2, { says: 'returned', at: at(before, 9), from: heldBy(orla.id), to: inStore(safe) });
    await keys.happen(k3, { says: 'reported-missing', at: at(last, 2) });
    await keys.happen(d1, { says: 'issued', at: at(before, 3), from: inStore(safe), to: atPlace(hook) });
    // Accepted: who has a hand in a count that waits is shown no estimate.
    await accept(office, await collect(office, quay, { on: before.day(12), coin: '400.00' }));
    await accept(office, await collect(office, quay, { on: last.day(12), coin: '520.00' }));
    // Known before the day, so that keys can come back in time; and one that did not.
    await office.patch(`/v1/people/${orla.id}`, { leftOn: '2040-01-31' }).set('If-Match', etag(orla)).expect(200);
    const shut = await makeSite(office, { code: 'SHUT', name: 'Shut Diner' });
    const d9 = await made('D-9', await keys.cut({ class: 'access', code: 'DOOR-9' }));
    await keys.happen(d9, { says: 'issued', at: at(before, 3), from: inStore(safe), to: heldBy((await makePerson(office, { code: 'SID', name: 'Sid Moor', employedBy: 'site', siteId: shut.id })).id) });
    await office.patch(`/v1/sites/${shut.id}`, { closedOn: last.day(28) }).set('If-Match', etag(shut)).expect(200);
    owner = await running.visit({ device: 'desk' });
    page = owner.page;
    await page.goto(`/operators/${operator.code}/keys`);
    await signIn(owner, office);
  }, 180_000);
  afterAll(() => running?.close());

  const row = (name: RegExp) => page.getByRole('row', { name });

  it('shows who holds which copy', async () => {
    await row(/^K-1 CASH-7 cash-box key Orla Venn ORLA .* 4 machines at 2 sites$/).waitFor();
    await row(/^K-3 CASH-7 cash-box key Missing/).waitFor();
    await row(/^D-1 DOOR-1 access key Hook behind the bar HOOK-\d+ of site QUAY .* 2 machines at 1 site$/).waitFor();
    await page.getByText('Others have copies of this code that nobody can count.').waitFor();
    expect(await owner.look('keys')).toEqual([]);
  });

  it('narrows them to a person, a site or a code, at any moment', async () => {
    await page.getByLabel('Show').selectOption('With a person');
    await page.getByText('Choose whose keys to show.').waitFor();
    await page.getByLabel('Person').selectOption('Orla Venn (ORLA)');
    await row(/^K-1/).waitFor();
    expect(await row(/^K-2/).count()).toBe(0);
    await page.getByLabel('Moment').fill(`${before.day(7)}T12:00`);
    await row(/^K-2/).waitFor();
    // The address can be sent to a colleague, who sees the same.
    await page.reload();
    await row(/^K-2/).waitFor();
    await page.getByLabel('Moment').fill('');
    await row(/^K-2/).waitFor({ state: 'detached' });
    await page.getByLabel('Show').selectOption('Of a code');
    await page.getByLabel('Code').selectOption('DOOR-1 (access key)');
    await row(/^D-1/).waitFor();
    await page.getByLabel('Show').selectOption('At a site');
    await page.getByLabel('Site').selectOption('Mill Diner (MILL)');
    await page.getByText('No copy of a key is recorded here.').waitFor();
  });

  it('leads from a holder to everything that they can open', async () => {
    await page.getByLabel('Show').selectOption('All copies');
    await page.getByRole('link', { name: 'Orla Venn' }).first().click();
    await page.getByRole('heading', { name: 'Keys of Orla Venn' }).waitFor();
    await row(/^Quay Tavern QUAY QUAY-1, QUAY-2 cash box K-1$/).waitFor();
    expect(await owner.look('keys-person')).toEqual([]);
  });

  it('says who could open a machine and why, now and in an interval', async () => {
    await page.getByRole('link', { name: 'Who can open what' }).click();
    await page.getByText('Choose a machine to see who can open it.').waitFor();
    // A part of it names none; the browser offers those that it is a part of.
    const machine = page.getByLabel('Machine');
    await machine.fill('quay');
    expect(await page.locator('datalist option').evaluateAll((options) => options.map((option) => option.getAttribute('value')))).toContain('QUAY-1 (Pool table, QUAY)');
    await page.getByText('Choose a machine to see who can open it.').waitFor();
    await machine.fill('quay-1');
    await row(/^Kay Dorn KAY /).waitFor();
    await page.reload();
    await soon(async () => expect(await machine.inputValue()).toBe('QUAY-1 (Pool table, QUAY)'));
    await row(/^Kay Dorn KAY .*Copy K-2 for the lock “cash-box”, in Office safe, as its custodian, since/).waitFor();
    await row(/^Orla Venn ORLA Copy K-1 for the lock “cash-box”, held, since/).waitFor();
    await page.getByRole('table', { name: 'Fitting copies that nobody answers for' }).getByRole('row', { name: /^K-3 missing/ }).waitFor();
    expect(await owner.look('keys-openers')).toEqual([]);
    await page.getByLabel('When').selectOption('At any time between');
    await page.getByText('Say when.').waitFor();
    await page.getByLabel('From').fill(`${before.day(6)}T08:00`);
    await page.getByLabel('To', { exact: true }).fill(`${before.day(5)}T08:00`);
    await page.getByText('The end must come after the beginning.').waitFor();
    await page.getByLabel('To', { exact: true }).fill(`${before.day(7)}T08:00`);
    await row(/^Orla Venn ORLA Copy K-1 .*Copy K-2 for the lock “cash-box”, held, /).waitFor();
    await page.getByLabel('What').selectOption('Play area');
    await row(/^Bo Tarn BO of site QUAY Copy D-1 for the lock “play-area”, at Hook behind the bar, as who is responsible/).waitFor();
    const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Download as CSV' }).click()]);
    expect(download.suggestedFilename()).toBe('who-could-open-quay-1.csv');
    expect(readFileSync(await download.path(), 'utf8')).toMatch(/^why,machine,[^]*\r\nkey-at-hand,QUAY-1,play-area,BO,Bo Tarn,site,QUAY,yes,responsible,/);
  });

  it('lists what is to be looked after', async () => {
    await page.getByRole('link', { name: 'To look after' }).click();
    await page.getByRole('table', { name: 'Missing' }).getByRole('row', { name: /^K-3 CASH-7/ }).waitFor();
    await page.getByText('No cash-box key is with people of a site.').waitFor();
    await page.getByRole('table', { name: 'Not back when due' }).getByRole('row', { name: /^K-1 .* Orla Venn/ }).waitFor();
    await page.getByRole('table', { name: 'Not yet confirmed by who received it' }).getByRole('row', { name: /^K-2 Returned Orla Venn ORLA Office safe SAFE .* late Get it confirmed K-2$/ }).waitFor();
    await page.getByRole('table', { name: 'People who leave, with keys' }).getByRole('row', { name: /^Orla Venn ORLA January 31, 2040 K-1 CASH-7 cash-box key$/ }).waitFor();
    await page.getByRole('table', { name: 'Sites that close, with keys out' }).getByRole('row', { name: /^Shut Diner SHUT .* 28, \d{4} overdue D-9 DOOR-9 access key$/ }).waitFor();
    await page.getByRole('table', { name: 'Sites whose staff have no access key' }).getByRole('row', { name: /^Mill Diner MILL to none of its machines/ }).waitFor();
    await page.getByRole('table', { name: 'Collections made without a fitting key' }).getByRole('row', { name: /Quay Tavern nobody named QUAY-1, QUAY-2/ }).first().waitFor();
    // Of one site, of one person, or of other days; and as a file.
    await page.locator('summary').filter({ hasText: 'Other days, one site or one person' }).click();
    const findings = page.getByRole('table', { name: 'Collections made without a fitting key' });
    const [file] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Download these collections' }).click()]);
    expect(readFileSync(await file.path(), 'utf8')).toMatch(/^finding,visit,site,[^]*\r\nno-key-holder,[^\r]*,QUAY,Quay Tavern,/);
    await page.getByLabel('Key holder').selectOption('Orla Venn (ORLA)');
    await page.getByText('None that fits this choice.').waitFor();
    await page.getByLabel('Key holder').selectOption('Everybody');
    await findings.waitFor();
    await page.getByLabel('To', { exact: true }).fill('2020-01-01');
    await page.getByText('None that fits this choice.').waitFor();
    await page.getByLabel('To', { exact: true }).fill('');
    await page.getByLabel('Site', { exact: true }).selectOption('Quay Tavern (QUAY)');
    await findings.getByRole('row', { name: /Quay Tavern nobody named/ }).first().waitFor();
    expect(await owner.look('keys-attention')).toEqual([]);
    // Before anything was recorded nothing was missing.
    await page.getByText('As it was at a moment').click();
    await page.getByLabel('As it was known at').fill('2020-01-01T08:00');
    await page.getByText('No copy is missing.').waitFor();
    await page.getByLabel('As it was known at').fill('');
    await page.getByRole('table', { name: 'Missing' }).waitFor();
  });

  it('shows where a copy was, and what its loss would mean', async () => {
    await page.getByRole('table', { name: 'Not back when due' }).getByRole('link', { name: 'K-1', exact: true }).click();
    await page.getByRole('heading', { name: 'Key K-1' }).waitFor();
    await row(/still Orla Venn ORLA Issued/).waitFor();
    // A lane for each who had it: in the safe for two days, with Orla from then to the end of the picture.
    const lanes = await page.getByRole('img', { name: 'Picture of where K-1 was; the table below says the same' }).locator('div:has(> svg rect)').evaluateAll((all) =>
      all.map((lane) => [lane.firstElementChild?.textContent, ...[...lane.querySelectorAll('rect')].map((span) => ['x', 'width'].map((side) => Number.parseFloat(span.getAttribute(side) ?? '')))]));
    const inSafe = (100 * 2 * 86_400_000) / (Date.now() - Date.parse(at(before, 1)));
    expect(lanes).toEqual([['Office safe', [0, expect.closeTo(inSafe, 0)]], ['Orla Venn', [expect.closeTo(inSafe, 0), expect.closeTo(100 - inSafe, 0)]]]);
    await page.getByRole('button', { name: 'Show what would follow' }).click();
    await page.getByText('It opens 4 machines at 2 sites.').waitFor();
    await page.getByText('For 2 machines no estimate is shown: nothing was collected there yet, or you take part in a count that waits there.').waitFor();
    await row(/^K-4 Office safe/).waitFor();
    expect(await owner.look('keys-copy')).toEqual([]);
    const whatIf = page.getByRole('region', { name: 'If this copy were lost' });
    const [download] = await Promise.all([page.waitForEvent('download'), whatIf.getByRole('button', { name: 'Download as CSV' }).click()]);
    expect(readFileSync(await download.path(), 'utf8')).toMatch(/QUAY-1/);
    await whatIf.getByLabel('Moment', { exact: true }).fill('2020-01-01T08:00');
    await whatIf.getByText('It opens nothing that is fitted now.').waitFor();
    expect(owner.complaints).toEqual([]);
  });

  it('corrects until when a key was lent, and leaves the rest as it was', async () => {
    const history = async () => (await running.api.operator.as('owner').get(`/v1/custody-events?keyCopyId=${k1.id}`).expect(200)).body as { items: CustodyEvent[] };
    const [loan] = (await history()).items.filter(({ kind }) => kind === 'issued');
    await page.getByRole('row', { name: /Issued .* Office safe SAFE Orla Venn/ }).getByRole('button', { name: /^Correct the entry/ }).click();
    const form = page.getByRole('dialog', { name: 'What was so instead?' });
    const shown = await form.getByLabel('Due back').inputValue();
    expect(shown).toMatch(new RegExp(`^${last.day(20)}T`));
    await form.getByLabel('Due back').fill(`${last.day(25)}T10:00`);
    await form.getByRole('button', { name: 'Record the correction' }).click();
    await form.getByRole('link', { name: 'Enter a reason of at least three characters' }).waitFor();
    expect(await owner.look('keys-correct')).toEqual([]);
    await form.getByLabel('Reason').fill('Lent for the whole week');
    await form.getByRole('button', { name: 'Record the correction' }).click();
    await page.getByRole('row', { name: /Issued by correction Lent for the whole week Office safe SAFE Orla Venn/ }).waitFor();
    const [correction] = (await history()).items.filter(({ kind }) => kind === 'corrected');
    expect(correction).toMatchObject({ correctsId: loan?.id, says: 'issued', from: loan?.from, to: loan?.to, happenedAt: loan?.happenedAt });
    expect(Date.parse(correction?.dueBackAt ?? '') - Date.parse(loan?.dueBackAt ?? '')).toBe(Date.parse(`${last.day(25)}T10:00Z`) - Date.parse(`${shown}Z`));
    expect(owner.complaints).toEqual([]);
  });

  it('erases who left: the last day, the texts that mean them, what stays, and then no name is left', async () => {
    const office = running.api.operator.as('owner');
    const leaver = await makePerson(office, { code: 'LEA', name: 'Lea Verrin' });
    await office.post('/v1/invitations', { email: 'lea@example.com', role: 'collector', personId: leaver.id, siteIds: [] }).expect(201);
    // Nothing that she took part in: whether she is meant only a reader can say.
    await running.api.operator.inBooks((tx) => tx.sql(`INSERT INTO key_exception (tenant_id, id, person_id, label, reason, started_at, review_on, granted_by, granted_at)
      VALUES ($1, uuidv7(), $2, 'Both roles', 'Asked for by Lea Verrin on the phone', $3, '2030-01-01', 'system:test', $3)`, [tx.tenantId, orla.id, at(before, 2)]));
    await page.goto(`/operators/${running.api.operator.code}/keys/people/${leaver.id}`);
    await page.getByRole('link', { name: 'They left, or want their data erased' }).click();
    await page.getByRole('heading', { name: 'Erase the data of Lea Verrin' }).waitFor();
    expect(await page.getByRole('button', { name: 'Erase their data' }).count()).toBe(0);
    await page.getByRole('button', { name: 'Save the last day' }).click();
    await page.getByText('Enter the last day of work').first().waitFor();
    await page.getByLabel('Last day', { exact: true }).fill(last.day(5));
    await page.getByRole('button', { name: 'Save the last day' }).click();
    await page.getByText('They left on').waitFor();
    await page.getByRole('checkbox', { name: /“Asked for by Lea Verrin on the phone” an exception about keys · \w+ \d+, \d{4}/ }).check();
    await page.getByText('An invitation sent to lea@example.com could be accepted until').waitFor();
    expect(await owner.look('keys-erase-person')).toEqual([]);
    await page.getByRole('button', { name: 'Erase their data' }).click();
    await page.getByText('1 ticked text is changed as well.').waitFor();
    await page.getByRole('dialog').getByRole('button', { name: 'Erase their data' }).click();
    await page.getByRole('heading', { name: 'Their data is erased' }).waitFor();
    await page.getByText('1 open invitation was withdrawn.').waitFor();
    expect((await office.get(`/v1/people/${leaver.id}`).expect(200)).body).toMatchObject({ name: 'Erased', code: 'LEA' });
    const { rows } = await running.api.operator.inBooks((tx) => tx.sql<{ reason: string }>(`SELECT reason FROM key_exception WHERE label = 'Both roles'`));
    expect(rows[0]?.reason).not.toContain('Lea Verrin');
  });

  it('fits a phone', async () => {
    const person = await running.visit({ device: 'phone' });
    const base = `/operators/${running.api.operator.code}/keys`;
    await person.page.goto(base);
    await signIn(person, running.api.operator.as('custodian'));
    await person.page.getByRole('row', { name: /^K-1/ }).waitFor();
    expect(await person.look('keys')).toEqual([]);
    await person.page.goto(`${base}/openers?machine=${quay.machines[0]?.id ?? ''}`);
    await person.page.getByRole('row', { name: /^Orla Venn/ }).waitFor();
    expect(await person.look('keys-openers')).toEqual([]);
    await person.page.goto(`${base}/attention`);
    await person.page.getByRole('table', { name: 'Missing' }).waitFor();
    expect(await person.look('keys-attention')).toEqual([]);
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });

  it('shows a site manager the access keys with their staff, and a collector their own', async () => {
    const { operator } = running.api;
    const manager = await running.visit({ device: 'phone' });
    await manager.page.goto(`/operators/${operator.code}/keys`);
    await signIn(manager, operator.as('site-manager'));
    const withStaff = manager.page.getByRole('list', { name: 'Keys with your staff' });
    await withStaff.getByText('Hangs here: Hook behind the bar.').waitFor();
    await withStaff.getByText('Bo Tarn answers for it and may take it.').waitFor();
    await withStaff.getByText('It opens 2 machines here.').waitFor();
    await soon(async () => expect(await withStaff.getByRole('listitem').count()).toBe(1));
    expect(await manager.page.getByRole('link', { name: 'Who can open what' }).count()).toBe(0);
    expect(await manager.look('keys-site-manager')).toEqual([]);
    await manager.page.goto(`/operators/${operator.code}/keys/attention`);
    await manager.page.getByText('This is not open to your role').waitFor();
    await manager.context.close();
    const collector = await operator.newMember('collector');
    const phone = await running.visit({ device: 'phone' });
    await phone.page.goto(`/operators/${operator.code}/keys`);
    await signIn(phone, collector);
    await phone.page.getByText('Your account belongs to no person of the operator.').waitFor();
    await operator.inBooks((tx) => tx.sql(`SELECT identity.change_member($1, 1, 'collector', $2, '{}', now())`, [collector.id, orla.id]));
    await phone.page.reload();
    await phone.page.getByRole('heading', { name: /^K-1 CASH-7/ }).waitFor();
    expect(await phone.look('keys-own')).toEqual([]);
    expect([...manager.complaints, ...phone.complaints]).toEqual([]);
    await phone.context.close();
  });
});
