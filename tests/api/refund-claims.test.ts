import type { Collection } from '#contracts/collection';
import type { ImportWarning } from '#contracts/import-file';
import type { RefundClaim } from '#contracts/refund-claim';
import type { OwnStops, SiteBoxes } from '#contracts/round';
import { TEST_NOW, startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeAcceptedCollection, makeCollection, usd, visit } from '#tests/support/collecting';
import { bindToPerson } from '#tests/support/keys';
import { errorsOf, makePerson, makePlacement, makeMachine, makeRunningSite, type Made } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
let manager: TestClient;
let bar: { site: Made; machine: Made };
beforeAll(async () => {
  api = await startTestApi();
  office = api.operator.as('bookkeeper');
  manager = api.operator.as('site-manager');
  bar = await makeRunningSite(office, { site: { id: api.operator.siteId } });
});
afterAll(() => api?.close());

const claimOf = (machine: Made, fields: object = {}) => ({ siteId: bar.site.id, machineTag: machine['tag'], refundedOn: '2026-03-04', amount: usd('2.50'), reason: 'Coin stuck', ...fields });
const enter = async (fields: object = {}, machine = bar.machine) => (await manager.post('/v1/refund-claims', claimOf(machine, fields)).expect(201)).body as RefundClaim;
const slipOf = (machine: Made, fields: object = {}) => ({ machineTag: machine['tag'], refundedOn: '2026-03-04', amount: usd('2.50'), ...fields });
const claims = async (by: TestClient, query = '') => (await by.get(`/v1/refund-claims?limit=200${query}`).expect(200)).body.items as RefundClaim[];
const claim = async (id: string, by = office) => (await claims(by)).find((each) => each.id === id);
/** Another machine at the bar, so that no claim of another test says the same. */
async function anotherMachine(): Promise<Made> {
  const machine = await makeMachine(office);
  await makePlacement(office, { machineId: machine.id, siteId: bar.site.id });
  return machine;
}

describe('a claim of a site', () => {
  it('is entered by its own people, lies open, and says nothing but what they entered', async () => {
    const made = await enter({ number: 'A-17' });
    expect(made).toEqual({
      id: made.id, siteId: bar.site.id, siteCode: bar.site['code'], siteName: bar.site['name'], machineId: bar.machine.id, machineTag: bar.machine['tag'], number: 'A-17',
      refundedOn: '2026-03-04', amount: usd('2.50'), reason: 'Coin stuck', state: 'open', takenOver: null, alikePresentedOn: null, maybeInSum: null, refused: null, withdrawnAt: null,
      recordedAt: new Date(TEST_NOW).toISOString(), recordedBy: `user:${manager.id}`,
    });
    expect((await claims(manager, '&state=open')).map(({ id }) => id)).toContain(made.id);
    expect((await claims(office, `&siteId=${bar.site.id}`)).map(({ id }) => id)).toContain(made.id);
  });

  it('names the field of whatever is wrong, and tells of other sites no more than of none', async () => {
    const elsewhere = await makeRunningSite(office);
    const refuse = async (fields: object, by = manager) => errorsOf(await by.post('/v1/refund-claims', claimOf(bar.machine, fields)).expect(422));
    expect(await refuse({ siteId: elsewhere.site.id })).toEqual(['#/siteId unknown']);
    expect(await refuse({ machineTag: elsewhere.machine['tag'] })).toEqual(['#/machineTag not-placed-here']);
    expect(await refuse({ machineTag: 'NOBODYS' })).toEqual(['#/machineTag not-placed-here']);
    expect(await refuse({ refundedOn: '2099-01-01', amount: { amount: '2.50', currency: 'EUR' } })).toEqual(['#/refundedOn in-the-future', '#/amount/currency other-currency']);
    expect(errorsOf(await manager.post('/v1/refund-claims', claimOf(bar.machine, { amount: usd('0.00') })).expect(400))).toEqual(['#/amount/amount not-positive']);
    await api.operator.as('collector').post('/v1/refund-claims', claimOf(bar.machine)).expect(403);
  });

  it('is one for each number of a slip, until it is refused or taken back', async () => {
    const first = await enter({ number: 'B-1' });
    const again = await manager.post('/v1/refund-claims', claimOf(bar.machine, { number: 'B-1' })).expect(409);
    expect(errorsOf(again)).toEqual(['#/number number-taken']);
    await manager.post(`/v1/refund-claims/${first.id}/withdrawal`).expect(200);
    const second = await enter({ number: 'B-1' });
    const refused = (await office.post(`/v1/refund-claims/${second.id}/refusal`, { reason: 'The machine was off that day' }).expect(200)).body as RefundClaim;
    expect(refused).toMatchObject({ state: 'refused', refused: { reason: 'The machine was off that day', by: `user:${office.id}` } });
    await enter({ number: 'B-1' });
    // What ended does not end again, and a site is told only that there is nothing to take back.
    await office.post(`/v1/refund-claims/${second.id}/refusal`, { reason: 'Once more' }).expect(403);
    await manager.post(`/v1/refund-claims/${second.id}/withdrawal`).expect(404);
  });
});

describe('a collection takes a claim over', () => {
  it('that its slip names, and shows both together', async () => {
    const machine = await anotherMachine();
    const made = await enter({ number: 'C-1' }, machine);
    const collection = await makeCollection(office, bar.site, [count(machine)], { refunds: [slipOf(machine, { claimId: made.id })] });
    const read = (await office.get(`/v1/collections/${collection.id}`).expect(200)).body as Collection;
    expect(read.refundSlips).toMatchObject([{ amount: usd('2.50'), claims: [{ id: made.id, number: 'C-1', reason: 'Coin stuck' }] }]);
    expect(await claim(made.id)).toMatchObject({ state: 'taken-over', takenOver: { collectionId: collection.id, collectedOn: '2026-03-10', amount: usd('2.50') } });
    // The site knows that it was taken over; of the collection it learns when that is in the books.
    expect(await claim(made.id, manager)).toMatchObject({ state: 'taken-over', takenOver: { collectionId: null } });
    await office.post(`/v1/collections/${collection.id}/accept`).expect(200);
    expect(await claim(made.id, manager)).toMatchObject({ takenOver: { collectionId: collection.id } });
    // What was taken over is neither refused nor taken back.
    await office.post(`/v1/refund-claims/${made.id}/refusal`, { reason: 'Too late' }).expect(403);
    await manager.post(`/v1/refund-claims/${made.id}/withdrawal`).expect(404);
    // A correction of the slip shows what came of the claim.
    const reviewer = api.operator.as('owner');
    await reviewer.post(`/v1/collections/${collection.id}/refund-slip-corrections`, { refundSlipId: read.refundSlips[0]?.id, amount: usd('2.00'), reason: 'Read again' }).expect(200);
    expect(await claim(made.id, manager)).toMatchObject({ amount: usd('2.50'), takenOver: { amount: usd('2.00') } });
  });

  it('once: not by two slips, nor by two visits, nor at the same time', async () => {
    const machine = await anotherMachine();
    const made = await enter({}, machine);
    const slip = slipOf(machine, { claimId: made.id });
    const twice = await office.post('/v1/collections', visit(bar.site, [count(machine)], { refunds: [slip, slip] })).expect(422);
    expect(errorsOf(twice)).toEqual(['#/refunds/1/claimId twice']);
    const answers = await Promise.all([1, 2, 3].map(() => office.post('/v1/collections', visit(bar.site, [count(machine)], { refunds: [slip] }))));
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 422, 422]);
    expect(answers.filter(({ status }) => status === 422).map(errorsOf)).toEqual([['#/refunds/0/claimId claim-not-open'], ['#/refunds/0/claimId claim-not-open']]);
  });

  it('only where machine, day, amount and payer are the claim’s', async () => {
    const machine = await anotherMachine();
    const other = await anotherMachine();
    const made = await enter({}, machine);
    const elsewhere = await makeRunningSite(office);
    const refuse = async (slip: object, site = bar.site, counted = machine) => errorsOf(await office.post('/v1/collections', visit(site, [count(counted)], { refunds: [slip] })).expect(422));
    for (const different of [{ machineTag: other['tag'] }, { refundedOn: '2026-03-05' }, { amount: usd('2.51') }, { paidBy: 'operator' }]) {
      expect(await refuse(slipOf(machine, { claimId: made.id, ...different }))).toEqual(['#/refunds/0/claimId differs-from-claim']);
    }
    expect(await refuse(slipOf(elsewhere.machine, { claimId: made.id }), elsewhere.site, elsewhere.machine)).toEqual(['#/refunds/0/claimId unknown']);
    expect(await claim(made.id)).toMatchObject({ state: 'open' });
  });

  it('that says the same as a slip entered without it, one for one: nothing is paid twice', async () => {
    const machine = await anotherMachine();
    const [first, second] = [await enter({}, machine), await enter({}, machine)];
    await makeAcceptedCollection(office, bar.site, [count(machine)], { refunds: [slipOf(machine), slipOf(machine, { amount: usd('9.00') }), slipOf(machine, { paidBy: 'operator' })] });
    const states = [(await claim(first.id))?.state, (await claim(second.id))?.state];
    expect(states.sort()).toEqual(['open', 'taken-over']);
    await makeAcceptedCollection(office, bar.site, [count(machine)], { refunds: [slipOf(machine), slipOf(machine)] });
    expect([(await claim(first.id))?.state, (await claim(second.id))?.state]).toEqual(['taken-over', 'taken-over']);
    // One that is entered after its slip was presented looks like it, and the office is told.
    expect(await enter({}, machine)).toMatchObject({ state: 'open', alikePresentedOn: '2026-03-10' });
  });

  it('and gives it back when it is discarded', async () => {
    const machine = await anotherMachine();
    const made = await enter({}, machine);
    const collection = await makeCollection(api.operator.as('collector'), bar.site, [count(machine)], { refunds: [slipOf(machine, { claimId: made.id })] });
    await office.post(`/v1/collections/${collection.id}/discard`, { reason: 'Entered for another site' }).expect(200);
    expect(await claim(made.id)).toMatchObject({ state: 'open', takenOver: null });
    await makeAcceptedCollection(office, bar.site, [count(machine)], { refunds: [slipOf(machine, { claimId: made.id })] });
    expect(await claim(made.id)).toMatchObject({ state: 'taken-over' });
  });

  it('follows a correction of its slip: to the claim that says the same, and back; what is not paid lies open', async () => {
    const machine = await anotherMachine();
    const [small, large] = [await enter({ number: 'E-1' }, machine), await enter({ number: 'E-2', amount: usd('7.00') }, machine)];
    const collection = await makeAcceptedCollection(office, bar.site, [count(machine)], { refunds: [slipOf(machine, { claimId: small.id })] });
    // Each puts right what the other one wrote.
    const turns = [api.operator.as('owner'), office];
    const correct = async (fields: object): Promise<Collection['refundSlips'][number] | undefined> => {
      const { refundSlips } = (await office.get(`/v1/collections/${collection.id}`).expect(200)).body as Collection;
      const refundSlipId = refundSlips.find(({ replacedById }) => replacedById === null)?.id;
      turns.reverse();
      const after = (await (turns[1] ?? office).post(`/v1/collections/${collection.id}/refund-slip-corrections`, { refundSlipId, reason: 'Read again', ...fields }).expect(200)).body as Collection;
      return after.refundSlips.find(({ replacedById }) => replacedById === null);
    };
    const states = async () => [(await claim(small.id))?.state, (await claim(large.id))?.state];
    // Whose slip it was can be presented, and the one that it is cannot be presented again.
    expect((await correct({ amount: usd('7.00') }))?.claims).toMatchObject([{ number: 'E-2' }]);
    expect(await states()).toEqual(['open', 'taken-over']);
    expect(await claim(small.id)).toMatchObject({ takenOver: null });
    await correct({ amount: usd('2.50') });
    expect(await states()).toEqual(['taken-over', 'open']);
    await correct({ amount: usd('2.50'), paidBy: 'operator' });
    expect(await states()).toEqual(['open', 'open']);
    await correct({ amount: usd('2.50'), paidBy: 'site' });
    expect(await states()).toEqual(['taken-over', 'open']);
    // No claim says this: the paper was read wrong, and is that of the claim all the same.
    expect((await correct({ amount: usd('2.00') }))?.claims).toMatchObject([{ number: 'E-1' }]);
    expect(await claim(small.id)).toMatchObject({ state: 'taken-over', takenOver: { amount: usd('2.00') } });
    await correct({ amount: usd('0.00') });
    expect(await states()).toEqual(['open', 'open']);
    await manager.post(`/v1/refund-claims/${small.id}/withdrawal`).expect(200);
    await enter({ number: 'E-1' }, machine);
  });

  it('and marks a slip that says the same again, in the same visit and in the next one, without refusing it', async () => {
    const machine = await anotherMachine();
    const made = await enter({ number: 'F-1' }, machine);
    const marks = async (id: string) => ((await office.get(`/v1/collections/${id}`).expect(200)).body as Collection).refundSlips.map(({ claims: known, alike }) => [known.length, alike]);
    const first = await makeAcceptedCollection(office, bar.site, [count(machine)], { refunds: [slipOf(machine, { claimId: made.id }), slipOf(machine), slipOf(machine, { amount: usd('9.00') }), slipOf(machine, { paidBy: 'operator' })] });
    const again = await makeAcceptedCollection(office, bar.site, [count(machine)], { refunds: [slipOf(machine)] });
    const mark = { number: 'F-1', collectedOn: '2026-03-10' };
    expect(await marks(first.id)).toEqual(expect.arrayContaining([[1, null], [0, mark]]));
    expect((await marks(first.id)).filter(([, alike]) => alike !== null)).toHaveLength(1);
    expect(await marks(again.id)).toEqual([[0, mark]]);
    expect(await claim(made.id)).toMatchObject({ state: 'taken-over', alikePresentedOn: '2026-03-10' });
    // Two claims that say the same are two slips that were entered, and neither is marked.
    const pair = await anotherMachine();
    const both = [await enter({}, pair), await enter({}, pair)];
    const ticked = await makeAcceptedCollection(office, bar.site, [count(pair)], { refunds: both.map(({ id }) => slipOf(pair, { claimId: id })) });
    expect(await marks(ticked.id)).toEqual([[1, null], [1, null]]);
    expect((await claim(both[0]?.id ?? ''))?.alikePresentedOn).toBeNull();
  });

  it('stays with its slip through a correction that leaves the amount, though another claim says the same', async () => {
    const machine = await anotherMachine();
    const [first, second] = [await enter({}, machine), await enter({}, machine)];
    const collection = await makeAcceptedCollection(office, bar.site, [count(machine)], { refunds: [slipOf(machine, { claimId: second.id })] });
    const { refundSlips } = (await office.get(`/v1/collections/${collection.id}`).expect(200)).body as Collection;
    await api.operator.as('owner').post(`/v1/collections/${collection.id}/refund-slip-corrections`, { refundSlipId: refundSlips[0]?.id, amount: usd('2.50'), coin: usd('2.50'), reason: 'All in coins' }).expect(200);
    expect([(await claim(first.id))?.state, (await claim(second.id))?.state]).toEqual(['open', 'taken-over']);
  });

  it('of a file, by the sum of those of a machine or by one that has the amount', async () => {
    const [summed, single, short] = [await anotherMachine(), await anotherMachine(), await anotherMachine()];
    const both = [await enter({ amount: usd('1.00') }, summed), await enter({ amount: usd('1.50'), refundedOn: '2026-03-05' }, summed)];
    const one = [await enter({ amount: usd('1.00') }, single), await enter({ amount: usd('4.00') }, single)];
    const later = await enter({ amount: usd('3.00'), refundedOn: '2026-03-09' }, short);
    const line = (machine: Made, refund: string): string => `${String(bar.site['code'])},2026-03-08,18:00,${String(machine['tag'])},12.50,20,${refund}`;
    const csv = ['site,collected_on,collected_at,machine,coin,note,refund', line(summed, '2.50'), line(single, '4.00'), line(short, '3.00'), ''].join('\n');
    const staged = await office.send('POST', '/v1/imports').set('Content-Type', 'text/csv').send(csv).expect(201);
    await office.post(`/v1/imports/${(staged.body as Made).id}/accept`).expect(200);
    const states = async (made: RefundClaim[]) => Promise.all(made.map(async ({ id }) => (await claim(id))?.state));
    expect([await states(both), await states(one), await states([later])]).toEqual([['taken-over', 'taken-over'], ['open', 'taken-over'], ['open']]);
    const summedUp = (await claim(both[0]?.id ?? ''))?.takenOver;
    expect(summedUp?.amount).toEqual(usd('2.50'));
    // Corrected to what one of them says, it is the slip of that one.
    const { refundSlips } = (await office.get(`/v1/collections/${summedUp?.collectionId ?? ''}`).expect(200)).body as Collection;
    const refundSlipId = refundSlips.find(({ machineId }) => machineId === summed.id)?.id;
    await api.operator.as('owner').post(`/v1/collections/${summedUp?.collectionId ?? ''}/refund-slip-corrections`, { refundSlipId, amount: usd('1.50'), reason: 'Added up wrong' }).expect(200);
    expect(await states(both)).toEqual(['open', 'taken-over']);
  });

  it('none by a sum that is not theirs, which is said of its line, of its visit once it is in the books, and of the claims', async () => {
    const [some, more, answered] = [await anotherMachine(), await anotherMachine(), await anotherMachine()];
    const three = [await enter({ amount: usd('1.00') }, some), await enter({ amount: usd('1.50') }, some), await enter({ amount: usd('4.00') }, some)];
    const one = await enter({ amount: usd('1.00') }, more);
    await enter({ amount: usd('2.00') }, answered);
    const line = (machine: Made, day: string, refund: string): string => `${String(bar.site['code'])},${day},17:00,${String(machine['tag'])},12.50,20,${refund}`;
    // The first two of three; more than was entered; of the last, the second line finds nothing open any more.
    const lines = [line(answered, '2026-03-09', '3.00'), line(some, '2026-03-08', '2.50'), line(answered, '2026-03-08', '2.00'), line(more, '2026-03-08', '1.25')];
    const staged = (await office.send('POST', '/v1/imports').set('Content-Type', 'text/csv').send(['site,collected_on,collected_at,machine,coin,note,refund', ...lines, ''].join('\n')).expect(201)).body as Made;
    const warnings = async () => (await office.get(`/v1/imports/${staged.id}/warnings`).expect(200)).body.items as ImportWarning[];
    const common = { code: 'refund-answers-no-claim', siteCode: bar.site['code'], collectedOn: '2026-03-08' };
    const ofSome = { ...common, machineTag: some['tag'], refund: usd('2.50'), openClaims: 3, openSum: usd('6.50') };
    const ofMore = { ...common, machineTag: more['tag'], refund: usd('1.25'), openClaims: 1, openSum: usd('1.00') };
    expect(await warnings()).toEqual([{ ...ofSome, lineNumber: 3, collectionId: null }, { ...ofMore, lineNumber: 5, collectionId: null }]);
    await manager.get(`/v1/imports/${staged.id}/warnings`).expect(403);
    await office.post(`/v1/imports/${staged.id}/accept`).expect(200);
    const entered = await warnings();
    const byTag = (tag: unknown) => entered.find(({ machineTag }) => machineTag === tag);
    expect(entered).toHaveLength(2);
    expect(byTag(some['tag'])).toEqual({ ...ofSome, lineNumber: null, collectionId: expect.any(String) });
    expect(byTag(more['tag'])).toEqual({ ...ofMore, lineNumber: null, collectionId: byTag(some['tag'])?.collectionId });
    const marks = async () => Promise.all([...three, one].map(async ({ id }) => (await claim(id))?.maybeInSum?.amount.amount));
    expect(await marks()).toEqual(['2.50', '2.50', '2.50', '1.25']);
    expect(await claim(one.id)).toMatchObject({ state: 'open', maybeInSum: { collectedOn: '2026-03-08', amount: usd('1.25') } });
    // The office says which of them were paid, and corrects the line that was added up wrong.
    for (const { id } of three.slice(0, 2)) await office.post(`/v1/refund-claims/${id}/refusal`, { reason: 'Paid on 8 March' }).expect(200);
    const { refundSlips } = (await office.get(`/v1/collections/${byTag(more['tag'])?.collectionId ?? ''}`).expect(200)).body as Collection;
    const refundSlipId = refundSlips.find(({ machineId }) => machineId === more.id)?.id;
    await api.operator.as('owner').post(`/v1/collections/${byTag(more['tag'])?.collectionId ?? ''}/refund-slip-corrections`, { refundSlipId, amount: usd('1.00'), reason: 'Added up wrong' }).expect(200);
    expect(await warnings()).toMatchObject([{ machineTag: some['tag'], openClaims: 1, openSum: usd('4.00') }]);
    expect(await marks()).toEqual([undefined, undefined, '2.50', undefined]);
  });

  it('none by a sum of a later stay of its machine at the site, which is said of the line and of the claim alike', async () => {
    const machine = await makeMachine(office);
    const first = await makePlacement(office, { machineId: machine.id, siteId: bar.site.id });
    const made = await enter({ amount: usd('4.00') }, machine);
    await office.post(`/v1/placements/${first.id}/end`, { removedOn: '2026-03-05' }).expect(200);
    await makePlacement(office, { machineId: machine.id, siteId: bar.site.id, placedOn: '2026-03-07' });
    const line = `${String(bar.site['code'])},2026-03-09,18:00,${String(machine['tag'])},12.50,20,5.00`;
    const staged = (await office.send('POST', '/v1/imports').set('Content-Type', 'text/csv').send(`site,collected_on,collected_at,machine,coin,note,refund\n${line}\n`).expect(201)).body as Made;
    await office.post(`/v1/imports/${staged.id}/accept`).expect(200);
    expect((await office.get(`/v1/imports/${staged.id}/warnings`).expect(200)).body.items).toMatchObject([{ machineTag: machine['tag'], refund: usd('5.00'), openClaims: 1, openSum: usd('4.00') }]);
    expect(await claim(made.id)).toMatchObject({ state: 'open', maybeInSum: { collectedOn: '2026-03-09', amount: usd('5.00') } });
  });
});

test('whoever goes to a site is told which slips to ask for, and nothing of how much lies there', async () => {
  const person = await makePerson(office);
  const collector = api.operator.as('collector');
  await bindToPerson(api.operator.as('owner'), { accountId: collector.id, role: 'collector', personId: person.id });
  const own = await makeRunningSite(office);
  const made = (await office.post('/v1/refund-claims', claimOf(own.machine, { siteId: own.site.id, number: 'D-4' })).expect(201)).body as RefundClaim;
  await office.post('/v1/rounds', { name: 'Harbour', plannedOn: TEST_NOW.slice(0, 10), collectorId: person.id, siteIds: [own.site.id] }).expect(201);
  const asked = [{ id: made.id, machineTag: own.machine['tag'], number: 'D-4', refundedOn: '2026-03-04', amount: usd('2.50') }];
  const { stops } = (await collector.get('/v1/own-stops').expect(200)).body as OwnStops;
  expect(stops.map(({ refundClaims }) => refundClaims)).toEqual([asked]);
  const boxes = (await collector.get(`/v1/sites/${own.site.id}/boxes`).expect(200)).body as SiteBoxes;
  expect(boxes.refundClaims).toEqual(asked);
});

describe('the month end', () => {
  const open = async (startsOn: string): Promise<number> => (await office.get(`/v1/month-end?cycle=month&startsOn=${startsOn}`).expect(200)).body.counts.openRefundClaims as number;

  it('counts slips of its days and before that no collection has, until they are', async () => {
    const machine = await anotherMachine();
    const [march, february] = [await open('2026-03-01'), await open('2026-02-01')];
    const made = await enter({}, machine);
    expect([await open('2026-03-01'), await open('2026-02-01')]).toEqual([march + 1, february]);
    // What waited in one month waits in the next.
    expect(await open('2026-04-01')).toBeGreaterThanOrEqual(march + 1);
    await makeCollection(office, bar.site, [count(machine)], { refunds: [slipOf(machine, { claimId: made.id })] });
    expect(await open('2026-03-01')).toBe(march);
    const refused = await enter({}, machine);
    await office.post(`/v1/refund-claims/${refused.id}/refusal`, { reason: 'Not our slip' }).expect(200);
    expect(await open('2026-03-01')).toBe(march);
  });
});
