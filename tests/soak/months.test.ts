import type { Close } from '#contracts/close';
import type { SettlementRow } from '#contracts/settlement';
import { chanceFrom, type Chance } from '#command/demo/random';
import { startTestApi, type TestApi } from '#tests/support/api';
import { closeMonth, issueMonth, settleMissing, settlementOf } from '#tests/support/closing';
import { usd } from '#tests/support/collecting';
import { onConnection } from '#tests/support/connection';
import { brokenInvariants } from '#tests/support/invariants';
import { makeMachine, makeRunningSite, makePlacement, type Made } from '#tests/support/set-up';

// Months of an office in which things come late, are corrected and are looked at twice, by several people at once. What
// must always hold is asked after every month. SOAK_MINUTES says for how long; SOAK_SEED repeats a run.

const minutes = Number(process.env['SOAK_MINUTES'] ?? '2');
const seed = process.env['SOAK_SEED'] ?? String(Date.now());
const months = Array.from({ length: 24 }, (_, index) => `${2025 + Math.floor(index / 12)}-${String((index % 12) + 1).padStart(2, '0')}`);

let api: TestApi;

type Place = { readonly site: Made; readonly machines: readonly Made[] };
type Visit = { readonly body: object };

async function places(count: number): Promise<Place[]> {
  const office = api.operator.as('owner');
  return Promise.all(
    Array.from({ length: count }, async () => {
      const { site, machine } = await makeRunningSite(office);
      const second = await makeMachine(office);
      await makePlacement(office, { machineId: second.id, siteId: site.id });
      return { site, machines: [machine, second] };
    }),
  );
}

let moment = 0;
function visitOf(chance: Chance, place: Place, month: string): Visit {
  moment += 1;
  const amount = (): string => `${chance.between(0, 400)}.${chance.pick(['00', '25', '50', '75'])}`;
  const counts = place.machines.map((machine) => ({ machineTag: machine['tag'], coin: usd(amount()), note: usd(`${chance.between(0, 90)}.00`) }));
  const happenedAt = new Date(Date.parse(`${month}-${String(chance.between(2, 27)).padStart(2, '0')}T14:00:00Z`) + moment * 1000).toISOString();
  return { body: { siteId: place.site.id, happenedAt, counts } };
}

/** Records and accepts; now and then somebody counts again and a second person corrects. */
async function enter(chance: Chance, visit: Visit): Promise<void> {
  const made = (await api.operator.as('collector').post('/v1/collections', visit.body).expect(201)).body as Made & { counts: { id: string }[] };
  await api.operator.as(chance.pick(['owner', 'bookkeeper'] as const)).post(`/v1/collections/${made.id}/accept`).expect(200);
  const [count] = made.counts;
  if (count === undefined || !chance.percent(10)) return;
  const correction = { countId: count.id, coin: usd(`${chance.between(0, 300)}.50`), note: usd('5.00'), reason: 'Counted again.' };
  await api.operator.as('owner').post(`/v1/collections/${made.id}/corrections`, correction).expect((answer) => {
    if (answer.status >= 300) throw new Error(JSON.stringify(answer.body));
  });
}

test(`the books stay in order for ${minutes} minutes (seed ${seed})`, async () => {
  const until = Date.now() + minutes * 60_000;
  let offices = 0;
  // An office lives for two years; then the next one begins with books of its own.
  do {
    api = await startTestApi({ now: '2027-01-15T12:00:00Z' });
    try {
      await twoYears(chanceFrom(`${seed}/${offices}`));
    } finally {
      await api.close();
    }
    offices += 1;
  } while (Date.now() < until);
}, (minutes + 5) * 60_000);

async function twoYears(chance: Chance): Promise<void> {
  const all = await places(6);
  let late: Visit[] = [];
  const closes: Close[] = [];
  for (const month of months) {
    const visits = all.flatMap((place) => Array.from({ length: chance.between(0, 3) }, () => visitOf(chance, place, month)));
    const held = visits.filter(() => chance.percent(15));
    const entered = [...visits.filter((visit) => !held.includes(visit)), ...late];
    // Several people at once: three at a time, in no order that anybody chose.
    while (entered.length > 0) await Promise.all(entered.splice(0, 3).map((visit) => enter(chance, visit)));
    late = held;

    // A site whose every visit came late has nothing settled yet for the month before, and what was reversed waits.
    for (const earlier of closes.slice(-2)) {
      await settleMissing(api, earlier.id);
      await issueMonth(api, earlier.id);
    }
    const close = await closeMonth(api, `${month}-01`);
    closes.push(close);
    expect(close.failures).toEqual([]);
    if (chance.percent(30) && close.progress.settled > 0) {
      const place = chance.pick(all);
      const list = await api.operator.as('bookkeeper').get(`/v1/settlements?siteId=${place.site.id}&startsOn=${month}-01`).expect(200);
      if (list.body.items.length > 0) {
        const settlement = await settlementOf(api, { siteId: place.site.id, startsOn: `${month}-01` });
        await api.operator.as('bookkeeper').post(`/v1/settlements/${settlement.id}/recompute`).expect(200);
      }
    }
    const issued = await issueMonth(api, close.id);
    expect([issued.failures, issued.progress.issued]).toEqual([[], close.progress.settled]);
    expect(await onConnection(api.db.urls.superuser, brokenInvariants)).toEqual([]);
    if (chance.percent(40)) await reverse(chance, { place: chance.pick(all), closes: closes.slice(-2) });
  }
}

/** Takes back the latest settlement of a site, now and then the one before it, too. Some are settled anew at once, others with what comes in later. */
async function reverse(chance: Chance, { place, closes }: { place: Place; closes: readonly Close[] }): Promise<void> {
  const office = api.operator.as('bookkeeper');
  const { items } = (await office.get(`/v1/settlements?siteId=${place.site.id}`).expect(200)).body as { items: SettlementRow[] };
  const standing = items.filter(({ reversed, startsOn }) => !reversed && closes.some((close) => close.startsOn === startsOn));
  for (const { id } of chance.percent(30) ? standing.slice(0, 2) : standing.slice(0, 1)) {
    await office.post(`/v1/settlements/${id}/reversal`, { reason: 'Looked at again.' }).expect(200);
    expect(await onConnection(api.db.urls.superuser, brokenInvariants)).toEqual([]);
  }
  if (chance.percent(40)) {
    for (const { id } of closes) {
      await settleMissing(api, id);
      await issueMonth(api, id);
    }
    expect(await onConnection(api.db.urls.superuser, brokenInvariants)).toEqual([]);
  }
}
