import type { Client } from 'pg';
import type { Close } from '#contracts/close';
import type { OpenItem } from '#contracts/open-item';
import type { Payment } from '#contracts/payment';
import type { SettlementRow } from '#contracts/settlement';
import { chanceFrom, type Chance } from '#command/demo/random';
import { startTestApi, type TestApi } from '#tests/support/api';
import { closeMonth, issueMonth, settleMissing, settlementOf } from '#tests/support/closing';
import { usd } from '#tests/support/collecting';
import { onConnection } from '#tests/support/connection';
import { brokenInvariants } from '#tests/support/invariants';
import { accountsThatDoNotAddUp, dealInAdvances, dealInPayments, makePlace, reportCards, visitOf, type Office, type Place, type Visit } from '#tests/support/office-life';
import type { Made } from '#tests/support/set-up';

// Months of an office in which things come late, are corrected and are looked at twice, by several people at once; money is
// paid, comes back, is disputed, advanced and given back at the same time. What must always hold is asked after every month. SOAK_MINUTES says for how long; SOAK_SEED repeats a run.

const minutes = Number(process.env['SOAK_MINUTES'] ?? '2');
const seed = process.env['SOAK_SEED'] ?? String(Date.now());
const months = Array.from({ length: 24 }, (_, index) => `${2025 + Math.floor(index / 12)}-${String((index % 12) + 1).padStart(2, '0')}`);

let api: TestApi;

const office = (): Office => ({ operator: api.operator, today: '2027-01-15' });

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
  const all: Place[] = [];
  for (let made = 0; made < 6; made += 1) all.push(await makePlace(office(), chance));
  let late: Visit[] = [];
  const closes: Close[] = [];
  for (const month of months) {
    const visits = all.flatMap((place) => Array.from({ length: chance.between(0, 3) }, () => visitOf(chance, place, month)));
    const held = visits.filter(() => chance.percent(15));
    const entered = [...visits.filter((visit) => !held.includes(visit)), ...late];
    // Several people at once: three at a time, in no order that anybody chose.
    while (entered.length > 0) await Promise.all(entered.splice(0, 3).map((visit) => enter(chance, visit)));
    late = held;
    // At several sites at once, as several people do; at one site one thing after the other.
    await Promise.all(all.map((place, at) => moneyMoves(chance.fork(`${month}/${at}`), { place, month })));

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
    await inOrder(all);
    if (chance.percent(40)) await reverse(chance, { place: chance.pick(all), closes: closes.slice(-2) });
  }
  expect(await onConnection(api.db.urls.superuser, neverHappened)).toEqual([]);
}

/** Of what the office does: books in which it never happened prove nothing about it. */
async function neverHappened(client: Client): Promise<string[]> {
  const { rows } = await client.query<{ what: string; times: number }>(
    `SELECT kind AS what, count(*)::int AS times FROM payment GROUP BY 1
     UNION ALL SELECT 'payment ' || kind, count(*)::int FROM payment_match GROUP BY 1
     UNION ALL SELECT 'payment shifted', count(*)::int FROM payment_shift
     UNION ALL SELECT 'payment set off', count(*)::int FROM payment_set_off
     UNION ALL SELECT 'item ' || kind, count(*)::int FROM open_item_event GROUP BY 1
     UNION ALL SELECT 'written off', count(*)::int FROM write_off
     UNION ALL SELECT 'write-off undone', count(*)::int FROM write_off_undo
     UNION ALL SELECT 'advance recouped', count(*)::int FROM advance_recoup
     UNION ALL SELECT 'advance ' || kind, count(*)::int FROM advance_reduction GROUP BY 1
     UNION ALL SELECT 'settlement reversed', count(*)::int FROM settlement_reversal
     UNION ALL SELECT 'late change', count(*)::int FROM late_change`,
  );
  const happened = new Map(rows.map(({ what, times }) => [what, times]));
  process.stdout.write(`${rows.map(({ what, times }) => `${times} ${what}`).join(', ')}\n`);
  const everything = ['settling', 'on-account', 'payment matched', 'payment unmatched', 'payment returned', 'payment shifted', 'payment set off', 'item held', 'item released', 'written off', 'write-off undone', 'advance recouped', 'advance paid-back', 'advance undone', 'settlement reversed', 'late change'];
  return everything.filter((what) => (happened.get(what) ?? 0) === 0);
}

async function moneyMoves(chance: Chance, { place, month }: { place: Place; month: string }): Promise<void> {
  if (chance.percent(50)) await reportCards(office(), chance, { place, month });
  if (chance.percent(40)) await dealInAdvances(office(), chance, { place, month });
  for (let times = chance.between(0, 3); times > 0; times -= 1) await dealInPayments(office(), chance, place);
}

async function inOrder(places: readonly Place[]): Promise<void> {
  expect(await onConnection(api.db.urls.superuser, brokenInvariants)).toEqual([]);
  expect(await accountsThatDoNotAddUp(office(), places)).toEqual([]);
}

/**
 * Takes back the latest settlement of a site, now and then the one before it, too. Some are settled anew at once, others with
 * what comes in later. What is paid is taken off first, or stays as it is.
 */
async function reverse(chance: Chance, { place, closes }: { place: Place; closes: readonly Close[] }): Promise<void> {
  const client = api.operator.as('bookkeeper');
  const { items } = (await client.get(`/v1/settlements?siteId=${place.site.id}`).expect(200)).body as { items: SettlementRow[] };
  const standing = items.filter(({ reversed, startsOn }) => !reversed && closes.some((close) => close.startsOn === startsOn));
  for (const { id } of chance.percent(30) ? standing.slice(0, 2) : standing.slice(0, 1)) {
    if (chance.percent(70)) await freeOfPayments({ place, settlementId: id });
    const answer = await client.post(`/v1/settlements/${id}/reversal`, { reason: 'Looked at again.' });
    await inOrder([place]);
    if (answer.status === 200) continue;
    expect(answer.body).toMatchObject({ status: 409, code: 'settlement-paid' });
    break;
  }
  if (chance.percent(40)) {
    for (const { id } of closes) {
      await settleMissing(api, id);
      await issueMonth(api, id);
    }
    await inOrder([place]);
  }
}

/** Takes every payment off the items of a settlement, and what was written off of them back. */
async function freeOfPayments({ place, settlementId }: { place: Place; settlementId: string }): Promise<void> {
  const client = api.operator.as('bookkeeper');
  const payments = ((await client.get(`/v1/payments?agreementId=${place.agreement.id}&limit=200`).expect(200)).body as { items: Payment[] }).items;
  for (const { id } of payments.filter(({ matches }) => matches.some((match) => match.settlementId === settlementId))) {
    await client.post(`/v1/payments/${id}/unmatch`, { note: 'The settlement is wrong.' }).expect(200);
  }
  const items = ((await client.get(`/v1/open-items?settlementId=${settlementId}`).expect(200)).body as { items: OpenItem[] }).items;
  for (const { id } of items.filter(({ state }) => state === 'written-off')) {
    await api.operator.as('owner').post(`/v1/open-items/${id}/undo-write-off`, { reason: 'The settlement is wrong.' }).expect(200);
  }
}
