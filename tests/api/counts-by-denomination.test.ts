import { randomUUID } from 'node:crypto';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeCollection, usd, visit } from '#tests/support/collecting';
import { fitBoard, meterFields } from '#tests/support/metering';
import { errorsOf, makeMachine, makeParty, makePerson, makePlacement, makeRunningSite, makeSite, nextCode, plainTerms } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
let running: Awaited<ReturnType<typeof makeRunningSite>>;
beforeAll(async () => {
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  office = api.operator.as('bookkeeper');
  running = await makeRunningSite(office);
});
afterAll(() => api?.close());

const tallied = (tally: object[], beside: object = {}) => visit(running.site, [{ machineTag: running.machine['tag'] as string, tally }], beside);

async function checkedScale(shown = { referenceGrams: '2000', shownGrams: '2000.4', happenedAt: '2026-05-02T14:00:00Z' }): Promise<string> {
  return (await office.post('/v1/scale-checks', { scale: 'Counting room', ...shown }).expect(201)).body.id as string;
}

it('values pieces, weights and a mixed bag, and shows how it was counted', async () => {
  const tally = [
    { issueId: 'usd-note-5', pieces: 7 },
    { issueId: 'usd-quarter', grams: '1134' },
    // Four dimes, three quarters and two half dollars.
    { mixedIssueIds: ['usd-dime', 'usd-quarter', 'usd-half'], grams: '48.762' },
  ];
  const { body } = await office.post('/v1/collections', tallied(tally, { scaleCheckId: await checkedScale() })).expect(201);
  expect(body).toMatchObject({ counted: usd('87.15'), state: 'counted' });
  expect(body.counts).toMatchObject([
    {
      coin: usd('52.15'),
      note: usd('35.00'),
      tally: [
        { issueIds: ['usd-note-5'], name: '5 note', pieces: 7, grams: null, value: usd('35.00'), possible: null },
        { issueIds: ['usd-quarter'], name: 'Quarter', pieces: 200, grams: '1134', value: usd('50.00') },
        { issueIds: ['usd-dime', 'usd-quarter', 'usd-half'], pieces: null, grams: '48.762', value: usd('2.15') },
      ],
    },
  ]);
});

it('keeps with a corrected count how the first was counted, and says of the correction that it is an amount', async () => {
  const made = (await office.post('/v1/collections', tallied([{ issueId: 'usd-quarter', pieces: 40 }])).expect(201)).body as { id: string; counts: { id: string }[] };
  const correction = { countId: made.counts[0]?.id, coin: usd('10.25'), note: usd('0.00'), reason: 'One quarter lay under the tray.' };
  const { body } = await office.post(`/v1/collections/${made.id}/corrections`, correction).expect(200);
  expect(body.counts).toMatchObject([{ tally: [{ pieces: 40 }] }, { tally: null, coin: usd('10.25') }]);
});

it.each<[string, object[], string, number]>([
  ['a weight between two numbers of pieces', [{ issueId: 'usd-quarter', grams: '1131.2' }], '#/counts/0/tally/0/grams weigh-again', 422],
  ['an unknown denomination', [{ issueId: 'usd-crown', pieces: 1 }], '#/counts/0/tally/0/issueId unknown-issue', 422],
  ['a denomination of another currency', [{ issueId: 'eur-one-euro', pieces: 1 }], '#/counts/0/tally/0/issueId unknown-issue', 422],
  ['notes by weight', [{ issueId: 'usd-note-5', grams: '7' }], '#/counts/0/tally/0/grams no-weight', 422],
  ['a bag in which the weight does not tell the value', [{ mixedIssueIds: ['usd-quarter', 'usd-five-cents'], grams: '50' }], '#/counts/0/tally/0/mixedIssueIds mix-of-weights', 422],
  ['a denomination twice', [{ issueId: 'usd-dime', pieces: 1 }, { issueId: 'usd-dime', pieces: 2 }], '#/counts/0/tally/1/issueId issue-twice', 422],
  ['neither pieces nor grams', [{ issueId: 'usd-dime' }], '#/counts/0/tally/0/pieces one-of-two', 400],
  ['half a piece', [{ issueId: 'usd-dime', pieces: 0.5 }], '#/counts/0/tally/0/pieces wrong-type', 400],
  ['less than a milligram', [{ issueId: 'usd-dime', grams: '1.0001' }], '#/counts/0/tally/0/grams wrong-format', 400],
])('refuses %s', async (_what, tally, expected, status) => {
  expect(errorsOf(await office.post('/v1/collections', tallied(tally, { scaleCheckId: await checkedScale() })).expect(status))).toEqual([expected]);
});

it('counts a coin only where it was money on the day of the visit, or shortly before', async () => {
  const [site, party, machine] = [await makeSite(office, { currency: 'GBP', timeZone: 'Europe/London' }), await makeParty(office), await makeMachine(office)];
  await makePlacement(office, { machineId: machine.id, siteId: site.id });
  await office.post('/v1/agreements', { code: nextCode('A'), siteId: site.id, partyId: party.id, startedOn: '2025-01-01', terms: plainTerms({ partyId: party.id, currency: 'GBP' }) }).expect(201);
  const counted = (tally: object[]) => office.post('/v1/collections', visit(site, [{ machineTag: machine['tag'] as string, tally }]));
  const answer = await counted([{ issueId: 'gbp-one-pound-round', pieces: 3 }, { issueId: 'gbp-one-pound', pieces: 2 }]).expect(422);
  expect(errorsOf(answer)).toEqual(['#/counts/0/tally/0/issueId not-in-use-then']);
  expect(answer.body.errors[0].message).toBe('1 pound, round, to 2017: no money any more since 15 October 2017. Enter what lay in the box of it as bad coin.');
  await counted([{ issueId: 'gbp-one-pound', pieces: 2 }]).expect(201);
});

it('says between which amounts a weight lies, and nothing of what was expected', async () => {
  const { body } = await office.post('/v1/collections', tallied([{ issueId: 'usd-quarter', grams: '1131.2' }], { scaleCheckId: await checkedScale() })).expect(422);
  expect(body.errors[0].detail ?? body.errors[0].message).toBe('Weigh again: the weight lies between 49.75 and 50.00.');
});

it('wants amounts or a tally, and not both', async () => {
  const entry = { machineTag: running.machine['tag'] as string };
  const post = (count: object) => office.post('/v1/collections', visit(running.site, [{ ...entry, ...count }])).expect(400);
  expect(errorsOf(await post({ coin: usd('1.00') }))).toEqual(['#/counts/0/note missing']);
  expect(errorsOf(await post({ coin: usd('1.00'), note: usd('0.00'), tally: [{ issueId: 'usd-dime', pieces: 1 }] }))).toEqual(['#/counts/0/tally one-of-two']);
});

it('counts nothing by weight on a scale that nobody checked, that shows wrong, or that was checked too long ago', async () => {
  const weighed = [{ issueId: 'usd-quarter', grams: '1134' }];
  const post = async (scaleCheckId?: string) => errorsOf(await office.post('/v1/collections', tallied(weighed, scaleCheckId === undefined ? {} : { scaleCheckId })).expect(422));
  expect(await post()).toEqual(['#/counts/0/tally/0/grams scale-not-checked']);
  expect(await post(randomUUID())).toEqual(['#/scaleCheckId unknown']);
  expect(await post(await checkedScale({ referenceGrams: '2000', shownGrams: '2002.001', happenedAt: '2026-05-02T14:00:00Z' }))).toEqual(['#/scaleCheckId scale-shows-wrong']);
  expect(await post(await checkedScale({ referenceGrams: '2000', shownGrams: '2000', happenedAt: '2026-05-01T14:59:59Z' }))).toEqual(['#/scaleCheckId scale-check-too-old']);
});

it('lists checks of scales, the wrong ones too, newest first', async () => {
  const { body } = await office.get('/v1/scale-checks?limit=200').expect(200);
  const times = (body.items as { happenedAt: string }[]).map(({ happenedAt }) => happenedAt);
  expect(times).toEqual([...times].sort().reverse());
  expect(body.items).toContainEqual(expect.objectContaining({ shownGrams: '2002.001', right: false }));
  expect(errorsOf(await office.post('/v1/scale-checks', { scale: 'Van', referenceGrams: '0', shownGrams: '1', happenedAt: '2026-05-02T14:00:00Z' }).expect(400))).toEqual(['#/referenceGrams not-positive']);
  expect(errorsOf(await office.post('/v1/scale-checks', { scale: 'Van', referenceGrams: '10', shownGrams: '10', happenedAt: '2026-05-03T14:00:00Z' }).expect(422))).toEqual(['#/happenedAt in-future']);
});

it('tells the coins of a currency with their weights and sources', async () => {
  const { body } = await office.get('/v1/coin-sets?currency=USD').expect(200);
  // 31 U.S.C. 5112(a)(3)
  expect(body.items).toHaveLength(1);
  expect(body.items[0].issues).toContainEqual({ id: 'usd-quarter', name: 'Quarter', tender: 'coin', face: usd('0.25'), pieceGrams: '5.67', from: '1965-01-01', until: null, source: expect.stringContaining('31 U.S.C. 5112(a)') });
  expect((await office.get('/v1/coin-sets?currency=JPY').expect(200)).body).toEqual({ items: [] });
});

describe('a count at the machine', () => {
  const boxes = (coin: string) => [count(running.machine, coin, '5.00')];

  it('is shown to nobody before the room has counted and its count is accepted, and then with the difference', async () => {
    const collector = await makePerson(office);
    const colleague = await makePerson(office);
    const made = await makeCollection(office, running.site, [], { collectedBy: collector.id });
    const path = `/v1/collections/${made.id}`;
    await api.operator.as('collector').post(`${path}/field-counts`, { countedBy: collector.id, counts: boxes('21.50') }).expect(200);
    expect(errorsOf(await office.post(`${path}/field-counts`, { countedBy: colleague.id, counts: boxes('20.00') }).expect(409))).toEqual(['#/counts counted-twice']);
    expect((await office.get(path).expect(200)).text).not.toContain('21.50');
    await office.get(`${path}/field-counts`).expect(403);
    await office.post(`${path}/counts`, { counts: boxes('20.00') }).expect(200);
    await office.get(`${path}/field-counts`).expect(403);
    await office.post(`${path}/field-counts`, { countedBy: colleague.id, counts: boxes('20.00') }).expect(403);
    await office.post(`${path}/accept`).expect(200);
    const { body } = await office.get(`${path}/field-counts`).expect(200);
    expect(body.items).toMatchObject([{ coin: usd('21.50'), note: usd('5.00'), countedBy: collector.id, blind: false }]);
    expect(body.boxes).toMatchObject([{ machineTag: running.machine['tag'], roomLess: { coin: usd('1.50'), note: usd('0.00') } }]);
  });

  it('is blind when somebody else counted than collected, and compares with the figure that stands', async () => {
    const [collector, colleague] = [await makePerson(office), await makePerson(office)];
    const made = await makeCollection(office, running.site, [], { collectedBy: collector.id });
    const path = `/v1/collections/${made.id}`;
    const tally = [{ issueId: 'usd-quarter', pieces: 80 }];
    await office.post(`${path}/field-counts`, { countedBy: colleague.id, counts: [{ machineTag: running.machine['tag'], tally }] }).expect(200);
    const counted = (await office.post(`${path}/counts`, { counts: [count(running.machine, '19.00', '0.00')] }).expect(200)).body as { counts: { id: string }[] };
    await office.post(`${path}/accept`).expect(200);
    const correction = { countId: counted.counts[0]?.id, coin: usd('20.00'), note: usd('0.00'), reason: 'A bag was left on the scale.' };
    await api.operator.as('owner').post(`${path}/corrections`, correction).expect(200);
    expect((await office.get(`${path}/field-counts`).expect(200)).body).toMatchObject({ items: [{ blind: true, tally: [{ pieces: 80 }] }], boxes: [{ roomLess: { coin: usd('0.00'), note: usd('0.00') } }] });
  });

  it('is not blind when who typed it had entered the meters, whatever name stands above it', async () => {
    const [collector, colleague] = [await makePerson(office), await makePerson(office)];
    const metered = await makeRunningSite(office);
    const { meterIds } = await fitBoard(office, metered.machine.id, { fittedAt: '2026-01-05T12:00:00-06:00', meters: [meterFields({ value: '100' })] });
    const made = await makeCollection(office, metered.site, [], { collectedBy: collector.id });
    const path = `/v1/collections/${made.id}`;
    await api.operator.as('collector').post(`/v1/machines/${metered.machine.id}/meter-readings`, { occasion: 'collection', collectionId: made.id, readBy: collector.id, readings: [{ meterId: meterIds[0], value: '120' }] }).expect(201);
    const typed = { countedBy: colleague.id, counts: [count(metered.machine, '5.00', '0.00')] };
    await api.operator.as('collector').post(`${path}/field-counts`, typed).expect(200);
    await office.post(`${path}/counts`, { counts: typed.counts }).expect(200);
    await office.post(`${path}/accept`).expect(200);
    expect((await office.get(`${path}/field-counts`).expect(200)).body).toMatchObject({ items: [{ countedBy: colleague.id, blind: false }] });
  });

  it('is compared box by box, in however many parts either counted it', async () => {
    const [collector, colleague] = [await makePerson(office), await makePerson(office)];
    const made = await makeCollection(office, running.site, [], { collectedBy: collector.id });
    const path = `/v1/collections/${made.id}`;
    await office.post(`${path}/field-counts`, { countedBy: colleague.id, counts: [count(running.machine, '100.00', '0.00')] }).expect(200);
    await office.post(`${path}/counts`, { counts: [count(running.machine, '60.00', '0.00', { part: 1 }), count(running.machine, '40.00', '0.00', { part: 2 })] }).expect(200);
    await office.post(`${path}/accept`).expect(200);
    expect((await office.get(`${path}/field-counts`).expect(200)).body.boxes).toMatchObject([{ roomLess: { coin: usd('0.00'), note: usd('0.00') } }]);
  });

  it('needs somebody who counted', async () => {
    const made = await makeCollection(office, running.site, []);
    const body = { countedBy: randomUUID(), counts: boxes('1.00') };
    expect(errorsOf(await office.post(`/v1/collections/${made.id}/field-counts`, body).expect(422))).toEqual(['#/countedBy unknown']);
  });
});
