import type { AuditFile } from '#contracts/audit-file';
import type { CollectionVariances } from '#contracts/variance';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { sealed, transmissionOf, type ToldFigures } from '#tests/support/audit-data';
import { count, makeCollection, usd } from '#tests/support/collecting';
import { fitBoard, meterFields } from '#tests/support/metering';
import { makeMachine, makePlacement, makeRunningSite, type Made } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
let collector: TestClient;
let reviewer: TestClient;

beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  [office, collector, reviewer] = (['bookkeeper', 'collector', 'reviewer'] as const).map((role) => api.operator.as(role)) as [TestClient, TestClient, TestClient];
});
afterAll(() => api?.close());

const at = (day: number) => `2026-05-${String(day).padStart(2, '0')}T12:00:00-05:00`;
const fitted = { fittedAt: at(1), meters: [meterFields({ digits: 8, unitValue: usd('0.01'), mostPerHour: 100_000, value: '90000' }), meterFields({ label: 'Notes', tender: 'note', digits: 8, unitValue: usd('1.00'), mostPerHour: 100, value: '2400' })] };

/** A bar with one machine of a known serial number, whose board was fitted with 900.00 and 2,400.00 on its meters. */
async function bar(serial: string) {
  const made = await makeRunningSite(office, { machine: { serialNumber: serial } });
  return { ...made, ...(await fitBoard(office, made.machine.id, fitted)) };
}

const upload = (client: TestClient, query: { readonly collectionId: string; readonly machineId?: string }, text: string | Buffer) =>
  client.send('POST', `/v1/audit-files?${new URLSearchParams(query).toString()}`).set('Content-Type', 'application/octet-stream').send(Buffer.from(text));
const staged = async (client: TestClient, collectionId: string, text: string) => (await upload(client, { collectionId }, text).expect(201)).body as AuditFile;
const varianceLines = async (id: string) => ((await reviewer.get(`/v1/collections/${id}/variances`).expect(200)).body as CollectionVariances).items.map(({ tender, expected, counted, unknown }) => [tender, expected?.amount ?? null, counted.amount, ...unknown]);

/** Counts what the machine says and accepts: 40.00 in coins and 100.00 in notes, unless told otherwise. */
async function collected(place: { site: Made; machine: Made }, day: number, told: ToldFigures, cash: readonly [string, string] = ['40.00', '100.00']) {
  const visit = await makeCollection(collector, place.site, [], { happenedAt: at(day) });
  const file = await staged(collector, visit.id, transmissionOf(told));
  await collector.post(`/v1/audit-files/${file.id}/accept`, { machineId: place.machine.id }).expect(200);
  await collector.post(`/v1/collections/${visit.id}/counts`, { counts: [count(place.machine, ...cash)] }).expect(200);
  await office.post(`/v1/collections/${visit.id}/accept`).expect(200);
  return { visit, file };
}

test('a file read out at a collection settles in the variance like readings that were typed, and shows nothing to who counts', async () => {
  const place = await bar('INV-1');
  const visit = await makeCollection(collector, place.site, [], { happenedAt: at(5) });
  const text = transmissionOf({ serial: 'INV-1', box: [40_00, 940_00], notes: [100_00, 2_500_00] });
  const file = await staged(collector, visit.id, text);
  expect(file).toMatchObject({ machineTag: place.machine['tag'], matchedBy: 'serial-number', machineClock: null, readOutOn: null, state: 'staged', figures: null, readings: [{ meter: 'Coins', element: 'CA306', value: null }, { meter: 'Notes', element: 'CA310', value: null }] });
  const seen = (await reviewer.get(`/v1/collections/${visit.id}/audit-files`).expect(200)).body as { items: AuditFile[] };
  expect(seen.items[0]?.readings.map(({ value }) => value)).toEqual(['00094000', '00002500']);
  expect(seen.items[0]?.figures).toContainEqual({ name: 'toBox', sinceReset: { element: 'CA302', amount: usd('40.00'), number: null }, sinceSetUp: { element: 'CA306', amount: usd('940.00'), number: null } });
  await collector.post(`/v1/audit-files/${file.id}/accept`, { machineId: place.machine.id }).expect(200);
  // Who sent the file read the meters by it.
  await collector.get(`/v1/machines/${place.machine.id}/meter-readings`).expect(403);
  expect((await collector.get(`/v1/collections/${visit.id}/audit-files`).expect(200)).text).not.toContain('940.00');
  await collector.post(`/v1/collections/${visit.id}/counts`, { counts: [count(place.machine, '38.50', '100.00')] }).expect(200);
  await office.post(`/v1/collections/${visit.id}/accept`).expect(200);
  expect(await varianceLines(visit.id)).toEqual([['coin', '40.00', '38.50'], ['note', '100.00', '100.00']]);
  expect((await reviewer.get(`/v1/collections/${visit.id}`).expect(200)).body).toMatchObject({ blind: false });
  // Coins that went to the tubes are no part of the box, and a reset does not break the chain.
  const next = await collected(place, 12, { serial: 'INV-1', box: [25_00, 965_00], tubes: [50_00, 350_00], notes: [7_00, 2_507_00] }, ['25.00', '7.00']);
  expect(await varianceLines(next.visit.id)).toEqual([['coin', '25.00', '25.00'], ['note', '7.00', '7.00']]);
});

test('a file whose machine has another day than the visit is taken, and the difference said: it may be that of another visit', async () => {
  const place = await bar('INV-9');
  const visit = await makeCollection(collector, place.site, [], { happenedAt: at(5) });
  // EVA DTS: EA302 is the day of the read-out by the machine's clock, YYMMDD; EA303 its time (from memory).
  const told = async (clock: string) => {
    const { machineClock, readOutOn } = await staged(collector, visit.id, transmissionOf({ serial: 'INV-9', more: [`EA3*1*${clock}`] }));
    return [machineClock, readOutOn];
  };
  expect(await told('260505*1205')).toEqual(['2026-05-05 12:05', null]);
  expect(await told('260412*0930')).toEqual(['2026-04-12 09:30', { clock: '2026-04-12', visit: '2026-05-05' }]);
  // A clock that was never set tells no day.
  expect(await told('000000*0000')).toEqual(['2000-00-00 00:00', null]);
});

test('a file is of the machine that it names, or of the one that is named where it names none', async () => {
  const [place, other] = [await bar('INV-2'), await bar('INV-3')];
  const second = await makeMachine(office);
  await makePlacement(office, { machineId: second.id, siteId: place.site.id });
  await fitBoard(office, second.id, fitted);
  const { id: collectionId } = await makeCollection(collector, place.site, [], { happenedAt: at(6) });
  const refusals: [object, string, number, string][] = [
    [{ machineId: place.machine.id }, transmissionOf({ serial: 'INV-3' }), 422, 'ID101 other-machine'],
    [{ machineId: place.machine.id }, transmissionOf({ serial: 'INV-99' }), 422, 'ID101 other-machine'],
    [{}, transmissionOf({ serial: 'INV-2', assetNumber: String(other.machine['tag']) }), 422, 'ID106 other-machine'],
    [{}, transmissionOf({ serial: 'INV-99' }), 422, 'machineId missing'],
    [{}, transmissionOf({ serial: 'INV-3' }), 422, 'collectionId not-placed-here'],
    [{ machineId: collectionId }, transmissionOf({}), 422, 'machineId unknown'],
  ];
  for (const [query, text, status, error] of refusals) {
    const answer = await upload(collector, { collectionId, ...query }, text);
    const [first] = (answer.body as { errors: { pointer: string; code: string }[] }).errors;
    expect([answer.status, `${first?.pointer ?? ''} ${first?.code ?? ''}`]).toEqual([status, error]);
  }
  const byTag = await staged(collector, collectionId, transmissionOf({ assetNumber: String(second['tag']).toLowerCase() }));
  expect(byTag).toMatchObject({ machineId: second.id, matchedBy: 'asset-number' });
  // Another that is uploaded before takes its place, and is accepted only for the machine that was shown.
  const named = (await upload(collector, { collectionId, machineId: second.id }, transmissionOf({ serial: 'INV-77' })).expect(201)).body as AuditFile;
  expect(named).toMatchObject({ matchedBy: 'named', serial: 'INV-77' });
  expect((await collector.post(`/v1/audit-files/${byTag.id}/accept`, { machineId: second.id }).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  expect((await collector.post(`/v1/audit-files/${named.id}/accept`, { machineId: place.machine.id }).expect(422)).body).toMatchObject({ errors: [{ pointer: '#/machineId', code: 'other-machine' }] });
  await collector.post(`/v1/audit-files/${named.id}/accept`, { machineId: second.id }).expect(200);
});

test('a file enters once, follows on the file before, and never changes readings that are there', async () => {
  const place = await bar('INV-4');
  const told = { serial: 'INV-4', box: [40_00, 940_00], notes: [100_00, 2_500_00] } as const;
  const { visit } = await collected(place, 5, told);
  expect((await upload(office, { collectionId: visit.id }, transmissionOf({ ...told, box: [41_00, 941_00] })).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  const later = await makeCollection(collector, place.site, [], { happenedAt: at(9) });
  expect((await upload(office, { collectionId: later.id }, transmissionOf(told)).expect(409)).body).toMatchObject({ code: 'file-accepted-before' });
  // Since the reset more than came in between: since-reset and since-set-up were exchanged, or one is of another machine.
  const misfit = await upload(office, { collectionId: later.id }, transmissionOf({ ...told, box: [900_00, 960_00] }));
  expect(misfit.body).toMatchObject({ code: 'file-not-readable', errors: [{ pointer: 'CA301', code: 'does-not-add-up' }] });
  const file = await staged(office, later.id, transmissionOf({ ...told, box: [60_00, 960_00], tubes: [20_00, 308_00] }));
  await collector.post(`/v1/machines/${place.machine.id}/meter-readings`, { occasion: 'collection', collectionId: later.id, readings: [{ meterId: place.meterIds[0], value: '95500' }] }).expect(201);
  expect((await office.post(`/v1/audit-files/${file.id}/accept`, { machineId: place.machine.id })).body).toMatchObject({ code: 'invalid-command', errors: [{ pointer: '#/CA306/meterId', code: 'read-twice' }] });
});

test('a file is held beside the one after it where it comes late, and beside both for who counts, once that is over', async () => {
  const place = await bar('INV-7');
  const told = { serial: 'INV-7', notes: [100_00, 2_500_00] } as const;
  await collected(place, 5, { ...told, box: [40_00, 940_00] });
  await collected(place, 19, { ...told, box: [100_00, 1_000_00] }, ['60.00', '0.00']);
  const between = await makeCollection(collector, place.site, [], { happenedAt: at(12) });
  // 90.00 since the reset on the 12th, of 960.00 in all: the 100.00 of the 19th would have to be 130.00, or 40.00 at most after another reset.
  const misfit = transmissionOf({ ...told, box: [90_00, 960_00] });
  const refused = (await upload(office, { collectionId: between.id }, misfit).expect(422)).body as { errors: object[]; detail: string };
  expect(refused.errors).toMatchObject([{ pointer: 'CA301' }, { pointer: 'CA301' }]);
  expect(refused.detail).toMatch(/does not follow on the file before\..*The file after it does not follow on it\./);

  // Whoever counts there is told nothing of it, and it waits for the one who takes the count into the books.
  const file = await staged(collector, between.id, misfit);
  expect(file.misfits).toBeNull();
  expect((await collector.post(`/v1/audit-files/${file.id}/accept`, { machineId: place.machine.id }).expect(200)).body).toMatchObject({ state: 'accepted', misfits: null });
  const shown = (await office.get(`/v1/collections/${between.id}/audit-files`).expect(200)).body as { items: AuditFile[] };
  expect(shown.items[0]?.misfits).toMatchObject([{ beside: 'before', element: 'CA301' }, { beside: 'after', element: 'CA301' }]);
  await collector.post(`/v1/collections/${between.id}/counts`, { counts: [count(place.machine, '20.00', '0.00')] }).expect(200);
  await office.post(`/v1/collections/${between.id}/accept`).expect(200);
  const { flags } = (await reviewer.get(`/v1/variances?month=2026-05&siteId=${place.site.id}`).expect(200)).body as { flags: { reasons: string[]; localDate: string }[] };
  // Either of the two that do not go together may be the wrong one.
  const found = flags.map(({ localDate, reasons }) => [localDate, ...reasons.filter((reason) => reason === 'meters-implausible')]);
  expect(found.sort()).toEqual([['2026-05-12', 'meters-implausible'], ['2026-05-19', 'meters-implausible']]);
});

test('a counter that was set back is taken as it is told, is no revenue, and is flagged', async () => {
  const place = await bar('INV-5');
  const { visit } = await collected(place, 5, { serial: 'INV-5', box: [10_00, 10_00], tubes: [0, 0], notes: [100_00, 2_500_00] }, ['10.00', '100.00']);
  expect(await varianceLines(visit.id)).toEqual([['coin', null, '10.00', 'reset-or-wrong'], ['note', '100.00', '100.00']]);
});

describe('a bad file', () => {
  let query: { collectionId: string };
  beforeAll(async () => {
    const place = await bar('INV-6');
    query = { collectionId: (await makeCollection(collector, place.site, [], { happenedAt: at(7) })).id };
  });
  const good = transmissionOf({ serial: 'INV-6' });
  const id = ['ID1*INV-6*KIND*0100', 'ID4*2*0840*USD'];
  it.each<[string, () => string | Buffer, number, string, string | null]>([
    ['cut in the middle', () => good.slice(0, good.length / 2), 422, 'file-not-readable', 'SE cut-off'],
    ['without its last line', () => good.slice(0, good.indexOf('DXE')), 422, 'file-not-readable', 'DXE cut-off'],
    ['with a wrong checksum', () => good.replace(/G85\*..../, 'G85*0BAD'), 422, 'file-not-readable', 'G8501 wrong-checksum'],
    ['with one digit changed on the way', () => good.replace('VA2*2500', 'VA2*2600'), 422, 'file-not-readable', 'G8501 wrong-checksum'],
    ['with a segment lost on the way', () => good.replace(/VA2.*\r\n/, ''), 422, 'file-not-readable', 'SE01 wrong-count'],
    ['of 20 MB', () => Buffer.alloc(20 * 1024 * 1024, 'DXS*INV0000001*VA*V0/6*1\r\n'), 413, 'body-too-large', null],
    ['in UTF-16', () => Buffer.from(`\ufeff${good}`, 'utf16le'), 422, 'file-not-readable', 'DXS not-text'],
    ['with a byte order mark', () => Buffer.from(`\ufeff${good}`, 'utf8'), 422, 'file-not-readable', 'DXS not-text'],
    ['that is a spreadsheet', () => 'site,collected_on,machine,coin\n', 422, 'file-not-readable', 'DXS not-audit-data'],
    ['that is empty', () => '', 422, 'file-not-readable', 'DXS not-audit-data'],
    ['whose cash does not add up', () => sealed([...id, 'CA3*100*100*0**500*400*0**0*0']), 422, 'file-not-readable', 'CA305 does-not-add-up'],
    ['with its two sides exchanged', () => sealed([...id, 'CA3*500*500*0**100*100*0**0*0']), 422, 'file-not-readable', 'CA301 does-not-add-up'],
    ['in another currency', () => sealed(['ID1*INV-6*KIND*0100', 'ID4*2*0978*EUR', 'CA3*1*1*0**5*5*0**0*0']), 422, 'file-not-readable', 'ID403 other-currency'],
    ['in parts of a cent', () => sealed(['ID1*INV-6*KIND*0100', 'ID4*3*0840*USD', 'CA3*1*1*0**5*5*0**0*0']), 422, 'file-not-readable', 'CA301 not-whole-units'],
    ['with half a note', () => sealed([...id, 'CA3*50*0*0**50*0*0**50*50']), 422, 'file-not-readable', 'CA310 not-whole-units'],
    ['with more than the meter can show', () => sealed([...id, 'CA3*1*1*0**100000000*100000000*0**0*0']), 422, 'file-not-readable', 'CA306 too-large'],
    ['without any cash', () => sealed(id), 422, 'file-not-readable', 'CA3 nothing-told'],
  ])('%s is refused, and leaves nothing behind', async (_what, bytes, status, code, error) => {
    const answer = await upload(office, query, bytes());
    const body = answer.body as { code: string; errors?: { pointer: string; code: string }[] };
    const first = body.errors?.[0];
    expect([answer.status, body.code, first === undefined ? null : `${first.pointer} ${first.code}`]).toEqual([status, code, error]);
    expect((await office.get(`/v1/collections/${query.collectionId}/audit-files`).expect(200)).body).toEqual({ items: [] });
  });
});

test('test vends come off what the coins and the tests are counted with, so that the box should hold what the file says', async () => {
  const place = await makeRunningSite(office, { machine: { serialNumber: 'INV-TESTS' } });
  const cents = { digits: 8, unitValue: usd('0.01'), mostPerHour: 100_000 };
  await fitBoard(office, place.machine.id, { fittedAt: at(1), meters: [meterFields({ ...cents, value: '92000' }), meterFields({ ...cents, label: 'Tests', tender: 'test-plays', value: '2000' })] });
  const visit = await makeCollection(collector, place.site, [], { happenedAt: at(5) });
  // 25.00 of test vends since the set-up, 5.00 of them since the board was fitted.
  const file = await staged(collector, visit.id, transmissionOf({ serial: 'INV-TESTS', box: [40_00, 940_00] }));
  expect(file.readings.map(({ meter, element }) => [meter, element])).toEqual([['Coins', 'CA306+VA201'], ['Tests', 'VA201']]);
  expect(file.readByHand).toEqual([]);
  await collector.post(`/v1/audit-files/${file.id}/accept`, { machineId: place.machine.id }).expect(200);
  await collector.post(`/v1/collections/${visit.id}/counts`, { counts: [count(place.machine, '40.00', '0.00')] }).expect(200);
  await office.post(`/v1/collections/${visit.id}/accept`).expect(200);
  expect(await varianceLines(visit.id)).toEqual([['coin', '40.00', '40.00']]);
});
