import { readFileSync } from 'node:fs';
import type { Page, Route } from 'playwright-core';
import type { CustodyEvent } from '#contracts/custody';
import type { CustodyToConfirm } from '#contracts/custody-acknowledgement';
import type { KeyReceivers } from '#contracts/own-keys';
import type { KeyCase } from '#contracts/key-case';
import type { KeyHolding } from '#contracts/key-question';
import type { KeyInventory } from '#contracts/key-inventory';
import { bindToPerson, heldBy, inStore, keyBooks, type KeyCopyOfTest } from '#tests/support/keys';
import { describeWithProgram } from '#tests/support/outside-program';
import { makePerson, type Made } from '#tests/support/set-up';
import { collect, makeAreaWithTax, makeSharedSite, months, type RunningSite } from './support/books';
import type { Visit } from './support/browser';
import { signIn, startConsole, type RunningConsole } from './support/console';
import { onPaper } from './support/paper';
import { soon } from './support/soon';

const { last, before } = months;

// Keys from day to day: one is lost and its locks are changed; a collector takes, hands on and misses one by phone; all are counted.
describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let quay: RunningSite;
  let orla: Made;
  let perry: Made;
  let barkeeper: Made;
  let k2: KeyCopyOfTest;
  let base: string;
  const at = (month: typeof last, day: number) => `${month.day(day)}T08:00:00.000Z`;

  beforeAll(async () => {
    running = await startConsole();
    const { operator } = running.api;
    const office = operator.as('owner');
    const keys = keyBooks(operator);
    const taxAreaId = (await makeAreaWithTax(office)).id;
    quay = await makeSharedSite(office, { code: 'QUAY', name: 'Quay Tavern', taxAreaId, id: operator.siteId });
    [orla, perry] = [await makePerson(office, { code: 'ORLA', name: 'Orla Venn' }), await makePerson(office, { code: 'PERRY', name: 'Perry Lund' })];
    const keeper = await makePerson(office, { code: 'KAY', name: 'Kay Dorn' });
    barkeeper = await makePerson(office, { code: 'BO', name: 'Bo Tarn', employedBy: 'site', siteId: quay.site.id });
    const manager = await makePerson(office, { code: 'MO', name: 'Mo Lind', employedBy: 'site', siteId: quay.site.id });
    await bindToPerson(office, { accountId: operator.as('site-manager').id, role: 'site-manager', personId: manager.id, siteIds: [quay.site.id] });
    const [cash, door] = [await keys.cut({ class: 'cash-box', code: 'CASH-7' }), await keys.cut({ class: 'access', code: 'DOOR-1' })];
    await keys.cut({ class: 'cash-box', code: 'CASH-8' });
    for (const machine of quay.machines) await keys.lock({ machineId: machine.id, cut: cash, opens: 'cash-box', fittedAt: at(before, 1) });
    for (const machine of quay.machines) await keys.lock({ machineId: machine.id, cut: door, opens: 'play-area', fittedAt: '2025-01-05T08:00:00.000Z' });
    const safe = await keys.store('SAFE');
    await keys.custodian({ storeId: safe, personId: keeper.id, from: at(before, 1) });
    await bindToPerson(office, { accountId: operator.as('custodian').id, role: 'custodian', personId: keeper.id });
    await bindToPerson(office, { accountId: operator.as('bookkeeper').id, role: 'bookkeeper', personId: (await makePerson(office, { name: 'Una Bly' })).id });
    await bindToPerson(office, { accountId: operator.as('collector').id, role: 'collector', personId: orla.id });
    const k1 = await keys.copy({ cut: cash, storeId: safe, madeAt: at(before, 1), number: 'K-1' });
    for (const number of ['D-1', 'D-3']) await keys.copy({ cut: door, storeId: safe, madeAt: at(before, 1), number });
    const d2 = await keys.copy({ cut: door, storeId: safe, madeAt: at(before, 1), number: 'D-2' });
    k2 = await keys.copy({ cut: cash, storeId: safe, madeAt: at(before, 1), number: 'K-2' });
    await keys.happen(k1, { says: 'issued', at: at(before, 3), from: inStore(safe), to: heldBy(perry.id) });
    for (const copy of [k2, d2]) await keys.happen(copy, { says: 'issued', at: at(before, 3), from: inStore(safe), to: heldBy(orla.id) });
    await collect(office, quay, { on: before.day(12), coin: '400.00' });
    await collect(office, quay, { on: last.day(12), coin: '520.00' });
    base = `/operators/${operator.code}/keys`;
  }, 180_000);
  afterAll(() => running?.close());

  async function come(role: 'owner' | 'collector' | 'bookkeeper' | 'custodian', how: { device: 'desk' | 'phone'; path: string }): Promise<Visit> {
    const person = await running.visit({ device: how.device });
    await person.page.goto(`${base}${how.path}`);
    await signIn(person, running.api.operator.as(role));
    return person;
  }
  const press = (page: Page, name: string) => page.getByRole('button', { name, exact: true }).click();

  it('the custodian gives a key to somebody, and is told what does not fit', async () => {
    const { api } = running;
    const custodian = await come('custodian', { device: 'desk', path: `/people/${orla.id}` });
    const desk = custodian.page;
    await press(desk, 'Give a key');
    await desk.getByLabel('Which key').selectOption('D-1, DOOR-1, access key, in Office safe');
    await desk.getByLabel('Due back').fill('2026-01-01T08:00');
    await desk.getByLabel('Reason').fill('Route of the week');
    await press(desk, 'Hand out');
    await desk.getByRole('link', { name: 'A key is lent until some time after it is given.' }).click();
    await soon(async () => expect(await desk.locator(':focus').getAttribute('id')).toBe(await desk.getByLabel('Due back').getAttribute('id')));
    expect(await custodian.look('keys-give-refused')).toEqual([]);
    await desk.getByLabel('Due back').fill('');
    await press(desk, 'Hand out');
    await desk.getByRole('heading', { name: 'Confirmation of D-1' }).waitFor();
    await desk.getByText('Confirmed by Kay Dorn, who recorded it').waitFor();
    expect(await custodian.look('keys-confirmation')).toEqual([]);
    await press(desk, 'Leave it open');
    await desk.getByRole('row', { name: /^D-1 DOOR-1/ }).waitFor();
    expect(custodian.complaints).toEqual([]);
    await custodian.context.close();
    api.clock.advance({ milliseconds: 60_000 });
  }, 180_000);

  it('a collector confirms by phone what they were given, hands a key on against a signature, and reports one missing in two taps', async () => {
    const { api } = running;
    const collector = await come('collector', { device: 'phone', path: '/../today' });
    const { page } = collector;
    // Told where the day begins, with the number and until when.
    const { items: waiting } = (await api.operator.as('collector').get('/v1/own-keys/to-confirm').expect(200)).body as CustodyToConfirm;
    await page.getByText(new RegExp(`^${waiting.length} hand-overs? of keys waits? for you to confirm, .*(by|overdue since) .*20\\d\\d`)).waitFor();
    expect(await collector.look('collector-hand-over')).toEqual([]);
    await page.getByRole('link', { name: 'Confirm', exact: true }).click();
    await page.getByText('You received D-1 from Office safe').waitFor();
    await page.getByRole('heading', { name: /^K-2 CASH-7/ }).waitFor();
    expect(await collector.look('own-keys')).toEqual([]);
    // Not in the bag of the morning, and found there after all.
    await press(page, 'I did not get this D-1');
    await page.getByText(/^Said on .*: not received\./).waitFor();
    expect(await page.getByRole('button', { name: 'I did not get this D-1', exact: true }).count()).toBe(0);
    expect(await collector.look('own-keys-denied')).toEqual([]);
    await press(page, 'I received this D-1');
    await page.getByText('You received D-1 from Office safe').waitFor({ state: 'detached' });

    // A cash-box key goes back to the custodian first: handing it on is offered only while the policy lets it go from hand to hand.
    await page.getByRole('button', { name: 'Bring back K-2' }).waitFor();
    expect(await page.getByRole('button', { name: 'Hand on K-2' }).count()).toBe(0);
    const decide = (directHandOver: boolean) =>
      api.operator.as('owner').post('/v1/policy', { directHandOver, acknowledgeWithinHours: 48, inventoryEveryMonths: 3, custodianApart: true, onePersonReviewOn: null, reason: 'As our insurer agreed' }).expect(201);
    await decide(true);
    await page.reload();
    // It goes to nobody of a site even then: nobody of one is offered, and the form says why.
    await press(page, 'Hand on K-2');
    await page.getByText('Nobody who works at a site is given a cash-box key.').waitFor();
    const receivers = page.getByLabel('To whom').locator('option');
    await receivers.filter({ hasText: 'Kay Dorn' }).waitFor({ state: 'attached' });
    expect(await receivers.filter({ hasText: 'Bo Tarn' }).count()).toBe(0);
    expect(await collector.look('own-keys-cash-box')).toEqual([]);
    await press(page, 'Cancel');
    await decide(false);

    // Who brings a key back reads that, not that it is taken back.
    await press(page, 'Bring back D-1');
    await page.getByRole('heading', { name: 'Bring back D-1' }).waitFor();
    await page.getByRole('dialog').getByRole('button', { name: 'Bring back', exact: true }).waitFor();
    await press(page, 'Cancel');

    await press(page, 'Hand on D-1');
    await page.getByLabel('To whom').selectOption('Bo Tarn (BO)');
    await press(page, 'Hand on');
    await press(page, 'Sign here');
    await press(page, 'I received this');
    await page.getByRole('link', { name: 'Sign in the field, or type the signature' }).waitFor();
    const pad = await page.getByRole('img', { name: 'Field for a signature, empty' }).boundingBox();
    if (pad === null) throw new Error('there is no field to sign in');
    await page.mouse.move(pad.x + 20, pad.y + 80);
    await page.mouse.down();
    for (const [x, y] of [[60, 20], [90, 90], [140, 30], [200, 70]] as const) await page.mouse.move(pad.x + x, pad.y + y, { steps: 4 });
    await page.mouse.up();
    await page.getByRole('img', { name: 'Field for a signature, signed' }).waitFor();
    expect(await collector.look('own-keys-signing')).toEqual([]);
    await press(page, 'I received this');
    await page.getByText('Confirmed by Bo Tarn, by signature').waitFor();
    await press(page, 'Close');
    await page.getByRole('heading', { name: /^D-1/ }).waitFor({ state: 'detached' });
    const events = (await api.operator.as('custodian').get(`/v1/custody-events?personId=${barkeeper.id}`).expect(200)).body as { items: CustodyEvent[] };
    expect(events.items).toMatchObject([{ kind: 'handed-over', acknowledgements: [{ side: 'giver', how: 'recorded' }, { side: 'receiver', how: 'signed' }] }]);

    api.clock.advance({ milliseconds: 60_000 });
    await press(page, 'Report missing D-2');
    await press(page, 'Report missing');
    await page.getByRole('heading', { name: /^D-2/ }).waitFor({ state: 'detached' });
    await page.getByText(/^D-2 is reported missing, and a case is open/).waitFor();
    expect(await collector.look('own-keys-after')).toEqual([]);
    expect(collector.complaints).toEqual([]);
    await collector.context.close();
  }, 180_000);

  it('the owner takes a lost key from its case to the last lock, and closes it', async () => {
    const { api } = running;
    api.clock.advance({ milliseconds: 60_000 });
    const owner = await come('owner', { device: 'desk', path: `/copies/${k2.id}` });
    const { page } = owner;
    await press(page, 'Record what happened K-2');
    await page.getByLabel('What happened', { exact: true }).selectOption('Report missing');
    await page.getByText('A case opens at once.').waitFor();
    await page.getByLabel('Reason').fill('Not in the van any more');
    await press(page, 'Report missing');
    await page.getByRole('link', { name: 'See the case' }).click();
    await page.getByRole('heading', { name: 'Lost key K-2' }).waitFor();
    await page.getByText('0 of 2 locks changed.').waitFor();
    // First what is to be done now; each leads to its part of the page, folded or not.
    const next = page.getByRole('region', { name: 'What to do next' }).getByRole('button');
    expect(await next.allTextContents()).toEqual(['Name the key code that takes the place of the old one.', 'Change 2 locks.', 'Call in 1 old key.']);
    expect(await page.getByRole('row', { name: /^K-1/ }).count()).toBe(0);
    await next.nth(2).click();
    await page.getByRole('row', { name: /^K-1 .* still out/ }).waitFor();
    await soon(async () => expect(await page.locator(':focus').textContent()).toMatch(/^Old keys to call in/));
    expect(await page.getByRole('button', { name: /^Lock changed/ }).count()).toBe(0);
    expect(await owner.look('key-case-open')).toEqual([]);

    await press(page, 'Box emptied QUAY-1');
    await press(page, 'Record the emptied box');
    await page.getByText('0 of 2 locks changed, 1 secured meanwhile.').waitFor();
    await page.getByLabel('New key code', { exact: true }).selectOption('CASH-8');
    await press(page, 'Save the new code');
    await page.getByText('CASH-8 takes its place.').waitFor();
    api.clock.advance({ milliseconds: 60_000 });
    for (const tag of ['QUAY-1', 'QUAY-2']) {
      await press(page, `Lock changed ${tag}`);
      await page.getByRole('heading', { name: `The lock of ${tag} was changed` }).waitFor();
      await press(page, 'Record the new lock');
      await page.getByRole('button', { name: `Lock changed ${tag}` }).waitFor({ state: 'detached' });
    }
    await page.getByText('2 of 2 locks changed.').waitFor();
    await page.getByRole('heading', { name: 'Locks that are done' }).click();
    for (const tag of ['QUAY-1', 'QUAY-2']) await page.getByRole('row', { name: new RegExp(`^${tag} .* Done`) }).waitFor();

    // The case is not closed while the other old key is out: somebody says why it stays so, and then it comes back all the same.
    await press(page, 'Leave it out K-1');
    await page.getByRole('dialog').getByLabel('Reason').fill('Perry is at sea until Friday');
    await page.getByRole('dialog').getByRole('button', { name: 'Leave it out' }).click();
    await page.getByRole('row', { name: /^K-1 .* stays out, with a reason/ }).waitFor();
    api.clock.advance({ milliseconds: 60_000 });
    await press(page, 'Record what happened K-1');
    await page.getByLabel('Into which store').selectOption('Office safe (SAFE)');
    await press(page, 'Take back into a store');
    await press(page, 'Leave it open');
    await press(page, 'Tick off as called in K-1');
    await page.getByRole('heading', { name: 'What was done' }).click();
    await page.getByRole('table', { name: 'What was done' }).getByRole('row', { name: /Old key called in K-1/ }).waitFor();
    expect(await owner.look('key-case-changed')).toEqual([]);
    // The plan goes along on paper: which boxes and which keys, without the ways to other screens and anything to press.
    const paper = await onPaper(page);
    expect(paper).toMatchObject({ frame: false, buttons: 0 });
    expect(paper.text).toMatch(/QUAY-1[^]*K-1/);
    await press(page, 'Close the case');
    await page.getByRole('dialog').getByLabel('Reason').fill('Both boxes take the new cut');
    await page.getByRole('dialog').getByRole('button', { name: 'Close the case' }).click();
    await page.getByText(/^Closed on .* by you: Both boxes take the new cut$/).waitFor();
    const { items } = (await api.operator.as('owner').get('/v1/key-cases?state=closed').expect(200)).body as { items: KeyCase[] };
    const id = items[0]?.id ?? '';
    expect((await api.operator.as('owner').get(`/v1/key-cases/${id}`).expect(200)).body).toMatchObject({ state: 'closed', progress: { locks: 2, changed: 2 } });
    await page.getByRole('link', { name: 'Lost keys', exact: true }).click();
    await page.getByRole('row', { name: /^K-2 lost CASH-7 cash-box key .* Closed 2 of 2/ }).waitFor();
    expect(await owner.look('key-cases')).toEqual([]);
    expect(owner.complaints).toEqual([]);
    await owner.context.close();
    const phone = await come('owner', { device: 'phone', path: `/cases/${id}` });
    await phone.page.getByText('2 of 2 locks changed.').waitFor();
    expect(await phone.look('key-case')).toEqual([]);
    await phone.context.close();
  }, 300_000);

  it('the bookkeeper counts all keys, and what nobody has is named', async () => {
    const { api } = running;
    api.clock.advance({ milliseconds: 60_000 });
    const bookkeeper = await come('bookkeeper', { device: 'desk', path: '/inventories' });
    const { page } = bookkeeper;
    await page.getByText('Never counted yet.').waitFor();
    await page.getByRole('table', { name: 'Locks that were not changed for twelve months' }).getByRole('row', { name: /^QUAY-1 play area DOOR-1/ }).waitFor();
    const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: /^Download as CSV/ }).click()]);
    expect(readFileSync(await download.path(), 'utf8')).toMatch(/^old-lock,[^\r\n]*,QUAY-1,[^,]*,play-area,DOOR-1,/m);
    expect(await bookkeeper.look('key-inventories')).toEqual([]);
    await press(page, 'Begin a count');
    await page.getByRole('dialog').getByRole('button', { name: 'Begin' }).click();
    await page.getByRole('heading', { name: 'Count of keys: Every key' }).waitFor();
    await page.getByText('0 of 5 copies counted.').waitFor();

    const safe = page.getByRole('form', { name: /^Office safe/ });
    await safe.getByRole('button', { name: 'I saw the marked keys here' }).click();
    await page.getByRole('link', { name: 'Mark the keys that you saw' }).waitFor();
    await safe.getByLabel('Saw D-3').check();
    expect(await bookkeeper.look('key-inventory-counting')).toEqual([]);
    await safe.getByRole('button', { name: 'I saw 1 copy here' }).click();
    await page.getByText('1 of 5 copies counted.').waitFor();

    // It was seen with somebody else than the books say.
    await press(page, 'Seen elsewhere');
    await page.getByLabel('Which key').selectOption('D-1 (DOOR-1)');
    await page.getByLabel('Where it was seen').selectOption('Orla Venn (ORLA)');
    await press(page, 'Record it');
    await page.getByText('2 of 5 copies counted.').waitFor();
    await press(page, 'A key that is in no books');
    await page.getByLabel('What it looks like, and where it lay').fill('Brass, no number, in the coin drawer');
    await press(page, 'Record it');
    await page.getByText('Brass, no number, in the coin drawer').waitFor();
    await press(page, 'Close the count');
    await page.getByText('3 copies not counted yet: they are named as not seen.').waitFor();
    await page.getByRole('dialog').getByLabel('Reason').fill('Counted with the custodian');
    await page.getByRole('dialog').getByRole('button', { name: 'Close the count' }).click();
    await page.getByText(/^Closed on .* by you: Counted with the custodian$/).waitFor();
    await page.getByText(/K-1 not seen by anybody/).waitFor();
    await page.getByText(/D-1 seen elsewhere than the books had it/).waitFor();
    expect(await bookkeeper.look('key-inventory-closed')).toEqual([]);
    const { items } = (await api.operator.as('owner').get('/v1/key-inventories').expect(200)).body as { items: KeyInventory[] };
    expect(items).toMatchObject([{ copies: 5, counted: 2, closed: { reason: 'Counted with the custodian' } }]);
    expect(bookkeeper.complaints).toEqual([]);
    await bookkeeper.context.close();
    const phone = await come('bookkeeper', { device: 'phone', path: `/inventories/${items[0]?.id ?? ''}` });
    await phone.page.getByText('Brass, no number, in the coin drawer').waitFor();
    expect(await phone.look('key-inventory-closed')).toEqual([]);
    await phone.context.close();
  }, 180_000);

  it('a site manager hands an access key on by phone, and says at the count that it is there', async () => {
    const { api } = running;
    const custodian = api.operator.as('custodian');
    api.clock.advance({ milliseconds: 60_000 });
    const { items } = (await custodian.get('/v1/key-holdings?limit=50').expect(200)).body as { items: KeyHolding[] };
    const [d1] = items.filter(({ number }) => number === 'D-1');
    await custodian.post('/v1/custody-events', { kind: 'handed-over', keyCopyIds: [d1?.keyCopyId], from: heldBy(orla.id), to: heldBy(barkeeper.id), reason: 'Back at the bar' }).expect(201);
    await api.operator.as('owner').post('/v1/key-inventories', { cause: 'by-hand', reason: 'The insurer asks' }).expect(201);
    api.clock.advance({ milliseconds: 60_000 });
    const manager = await running.visit({ device: 'phone' });
    await manager.page.goto(base);
    await signIn(manager, api.operator.as('site-manager'));
    const { page } = manager;
    // Nobody takes a list for whole that is still on its way.
    const held: Route[] = [];
    await page.route('**/v1/own-keys/receivers', (route) => {
      held.push(route);
    });
    await press(page, 'Hand on D-1');
    const receivers = (expected: readonly string[]) => soon(async () => expect(await page.getByLabel('To whom').locator('option').allTextContents()).toEqual(expected));
    await receivers(['Loading']);
    await soon(async () => expect(held).toHaveLength(1));
    await held[0]?.continue();
    await receivers(['Choose', 'Mo Lind (MO)']);
    await page.getByLabel('To whom').selectOption('Mo Lind (MO)');
    await press(page, 'Hand on');
    await page.getByText('Confirmed by Mo Lind, who recorded it').waitFor();
    expect(await manager.look('site-keys-handed-on')).toEqual([]);
    await press(page, 'Leave it open');
    await page.getByText('With Mo Lind.').waitFor();
    await press(page, 'I have these keys');
    await page.getByText('Tick the keys that you have').waitFor();
    await page.getByLabel('D-1').check();
    expect(await manager.look('site-keys-attesting')).toEqual([]);
    await press(page, 'I have these keys');
    await page.getByText('All keys that you have are counted.').waitFor();
    const [asked] = await Promise.all([page.waitForResponse(/\/v1\/own-keys\/to-confirm/), page.goto(`/operators/${api.operator.code}/share/${quay.site.id}`)]);
    await asked.finished();
    await page.getByRole('heading', { name: 'Quay Tavern' }).waitFor();
    expect(await page.getByText('for you to confirm').count()).toBe(0);
    const [d3] = items.filter(({ number }) => number === 'D-3');
    const { items: holders } = (await api.operator.as('site-manager').get('/v1/own-keys/receivers').expect(200)).body as KeyReceivers;
    await custodian.post('/v1/custody-events', { kind: 'issued', keyCopyIds: [d3?.keyCopyId], from: { kind: 'store', id: d3?.where.holder?.id }, to: heldBy(holders.find(({ name }) => name === 'Mo Lind')?.id ?? ''), reason: 'A second one' }).expect(201);
    await page.reload();
    await page.getByText(/^1 hand-over of keys waits for you to confirm, by .*20\d\d/).waitFor();
    expect(await manager.look('share-hand-over')).toEqual([]);
    await page.getByRole('link', { name: 'Confirm', exact: true }).click();
    await press(page, 'I received this D-3');
    await page.getByText('You received D-3').waitFor({ state: 'detached' });
    expect(manager.complaints).toEqual([]);
    await manager.context.close();
  }, 180_000);

  it('who did not get a key says so by phone, and whoever looks after the keys puts the entry right from where it is listed', async () => {
    const { api } = running;
    const custodian = api.operator.as('custodian');
    const [codes, stores] = await Promise.all(['key-codes', 'key-stores'].map(async (what) => ((await custodian.get(`/v1/${what}?limit=50`).expect(200)).body as { items: { id: string; code: string }[] }).items));
    const storeId = stores?.[0]?.id ?? '';
    const made = (await custodian.post('/v1/key-copies', { keyCodeId: codes?.find(({ code }) => code === 'DOOR-1')?.id, numbers: ['D-7'], storeId, reason: 'Cut anew' }).expect(201)).body as { items: { id: string }[] };
    await custodian.post('/v1/custody-events', { kind: 'issued', keyCopyIds: made.items.map(({ id }) => id), from: inStore(storeId), to: heldBy(orla.id), reason: 'For the round' }).expect(201);
    const collector = await come('collector', { device: 'phone', path: '/own' });
    await press(collector.page, 'I did not get this D-7');
    await collector.page.getByText(/^Said on .*: not received\./).waitFor();
    await collector.page.getByRole('listitem').filter({ hasText: 'In the books it is with you, but it was said not to have been received.' }).getByRole('button', { name: 'Hand on D-7', exact: true }).waitFor();
    expect(await collector.look('own-keys-denied-held')).toEqual([]);

    const owner = await come('owner', { device: 'desk', path: '/attention' });
    const { page } = owner;
    const listed = page.getByRole('table', { name: 'Not yet confirmed by who received it' }).getByRole('row', { name: /^D-7 Issued .* says: not received, signed in/ });
    await listed.waitFor();
    // Before those that nobody has confirmed yet.
    expect(await page.getByRole('table', { name: 'Not yet confirmed by who received it' }).getByRole('rowheader').first().textContent()).toBe('D-7');
    await press(page, 'Get it confirmed D-7');
    await page.getByText(/^Orla Venn \(signed in\) said on .*: not received\. Ask both, and correct what was recorded\.$/).waitFor();
    expect(await owner.look('keys-denied-confirmation')).toEqual([]);
    await press(page, 'Correct the entry');
    await page.getByRole('heading', { name: 'What was so instead?' }).waitFor();
    await page.getByLabel('What happened').selectOption('Nothing happened');
    await page.getByLabel('Reason').fill('It lay in the safe all day');
    await press(page, 'Record the correction');
    await listed.waitFor({ state: 'detached' });
    await page.getByRole('dialog').waitFor({ state: 'detached' });
    await soon(async () => expect(await page.evaluate('document.activeElement === document.body')).toBe(false));
    expect(owner.complaints).toEqual([]);
    await owner.context.close();

    await collector.page.reload();
    await collector.page.getByRole('heading', { name: 'Keys that you have' }).waitFor();
    const { items } = (await api.operator.as('collector').get('/v1/own-keys/to-confirm').expect(200)).body as CustodyToConfirm;
    expect(items.filter(({ copies }) => copies.some(({ number }) => number === 'D-7'))).toEqual([]);
    expect(await collector.page.getByRole('heading', { name: /^D-7/ }).count()).toBe(0);
    expect(collector.complaints).toEqual([]);
    await collector.context.close();
  }, 180_000);
});
