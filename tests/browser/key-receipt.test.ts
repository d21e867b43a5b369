import type { CustodyEvent, MadeKeyCopies } from '#contracts/custody';
import type { CustodyLink } from '#contracts/custody-acknowledgement';
import { keyBooks } from '#tests/support/keys';
import { describeWithProgram } from '#tests/support/outside-program';
import { makePerson, makeSite, nextCode } from '#tests/support/set-up';
import { startConsole, type RunningConsole } from './support/console';

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let event: CustodyEvent;
  beforeAll(async () => {
    running = await startConsole();
  }, 180_000);
  afterAll(() => running.close());

  /** What stands in a link, made by the custodian for somebody of a site. */
  async function linkPath(): Promise<string> {
    const { api } = running;
    const [owner, custodian, books] = [api.operator.as('owner'), api.operator.as('custodian'), keyBooks(api.operator)];
    const safe = await books.store();
    const barkeeper = await makePerson(owner, { name: 'Bar Keeper', employedBy: 'site', siteId: (await makeSite(owner)).id });
    const body = { keyCodeId: (await books.cut({ class: 'access' })).id, numbers: [nextCode('K')], storeId: safe, reason: 'Came with the lock' };
    const made = (await custodian.post('/v1/key-copies', body).expect(201)).body as MadeKeyCopies;
    api.clock.advance({ milliseconds: 1000 });
    const movement = { kind: 'issued', keyCopyIds: made.items.map(({ id }) => id), from: { kind: 'store', id: safe }, to: { kind: 'person', id: barkeeper.id }, reason: 'For the bar' };
    event = (await custodian.post('/v1/custody-events', movement).expect(201)).body as CustodyEvent;
    const link = (await custodian.post(`/v1/custody-events/${event.id}/links`, { side: 'receiver' }).expect(201)).body as CustodyLink;
    return (link.address ?? '').replace('http://127.0.0.1', '');
  }

  it.each(['phone', 'desk'] as const)('somebody without an account confirms on a %s what they received, once', async (device) => {
    const path = await linkPath();
    const person = await running.visit({ device });
    const { page } = person;
    await page.goto(path);
    await page.getByText('Bar Keeper, you are asked to confirm that you received this.').waitFor();
    await page.waitForURL(({ hash }) => hash === '');
    for (const text of ['Office safe', `${event.copies[0]?.number}, access key`, 'Issued']) expect(await page.getByText(text).count()).toBe(1);
    expect(await person.look('key-receipt')).toEqual([]);
    await page.getByRole('button', { name: 'I received this' }).click();
    await page.getByText('Nothing is left to do.').waitFor();
    expect(await person.look('key-receipt-confirmed')).toEqual([]);
    const stored = (await running.api.operator.as('custodian').get(`/v1/custody-events/${event.id}`).expect(200)).body as CustodyEvent;
    expect(stored.acknowledgements).toMatchObject([{ side: 'receiver', how: 'link' }]);

    // Whoever opens it again is told that it is done, and can do no more.
    await page.goto('about:blank');
    await page.goto(path);
    await page.getByText('Nothing is left to do.').waitFor();
    expect(await page.getByRole('button').count()).toBe(0);
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });

  it('somebody without an account says that they did not get it, and confirms it once it was found', async () => {
    const path = await linkPath();
    const person = await running.visit({ device: 'phone' });
    const { page } = person;
    await page.goto(path);
    await page.getByRole('button', { name: 'I did not get this' }).click();
    await page.getByText(/^Said on .*, by a link: not received\./).waitFor();
    expect(await page.getByRole('button', { name: 'I did not get this' }).count()).toBe(0);
    expect(await person.look('key-receipt-denied')).toEqual([]);
    const stored = (await running.api.operator.as('custodian').get(`/v1/custody-events/${event.id}`).expect(200)).body as CustodyEvent;
    expect(stored.denials).toMatchObject([{ side: 'receiver', person: { name: 'Bar Keeper' }, how: 'link' }]);

    await page.getByRole('button', { name: 'I received this' }).click();
    await page.getByText('Nothing is left to do.').waitFor();
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });

  it.each([
    ['confirm', 'I received this', 'I did not get this', /^Said on .*: not received\./],
    ['deny', 'I did not get this', 'I received this', /^Confirmed on /],
  ] as const)('after a failed answer (%s) the other one leaves nothing of the failure', async (failing, first, second, done) => {
    const path = await linkPath();
    const person = await running.visit({ device: 'phone' });
    const { page } = person;
    await page.goto(path);
    await page.route(`**/v1/custody-links/${failing}`, (route) => route.fulfill({ status: 502, contentType: 'text/html', body: '<h1>Bad gateway</h1>' }));
    await page.getByRole('button', { name: first }).click();
    await page.getByRole('alert').waitFor();
    await page.getByRole('button', { name: second }).click();
    await page.getByText(done).waitFor();
    expect(await page.getByRole('alert').count()).toBe(0);
    await person.context.close();
  });

  it('a link that is not one of ours says so', async () => {
    const person = await running.visit({ device: 'phone' });
    await person.page.goto('/key-receipt#nonsense');
    await person.page.getByText('This link was used, withdrawn or has expired').waitFor();
    expect(await person.look('key-receipt-unusable')).toEqual([]);
    await person.context.close();
  });
});
