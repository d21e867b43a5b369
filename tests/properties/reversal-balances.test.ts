import type { Advance } from '#contracts/advance';
import type { TrialBalance } from '#contracts/journal';
import type { OpenItem } from '#contracts/open-item';
import type { Payment } from '#contracts/payment';
import type { LateChange, SettlementPreview, SettlementRow } from '#contracts/settlement';
import type { SiteAccount } from '#contracts/site-account';
import { chanceFrom } from '#command/demo/random';
import { startTestApi, type TestApi } from '#tests/support/api';
import { closeMonth, issueMonth, settleMissing } from '#tests/support/closing';
import { onConnection } from '#tests/support/connection';
import { brokenInvariants } from '#tests/support/invariants';
import { accountsThatDoNotAddUp, dealInAdvances, dealInPayments, makePlace, reportCards, visitOf, type Office, type Place, type Visit } from '#tests/support/office-life';

// After the latest settlements of some sites are reversed, the books say of everything what they said before these were
// issued; settled anew, they say what they said after, and that at the end of every day: no day has two settlements of a
// period, or none. Half of the months are closed in between, so that what is taken back is booked later. SEED repeats a run, CASES says over how many months (at most 12).

const months = ['2025-04', '2025-05', '2025-06', '2025-07', '2025-08', '2025-09', '2025-10', '2025-11', '2025-12', '2026-01', '2026-02', '2026-03'].slice(
  0,
  Math.min(Number(process.env['CASES'] ?? 3), 12),
);
const seed = process.env['SEED'] ?? String(Date.now());

let api: TestApi;
let office: Office;
beforeAll(async () => {
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  office = { operator: api.operator, today: '2026-05-02' };
});
afterAll(() => api?.close());

const get = async <Body>(path: string): Promise<Body> => (await api.operator.as('bookkeeper').get(path).expect(200)).body as Body;

/** All that a settlement moves: accounts per payee and tax area, what is open, advances, payments, and what the next settlement would take in. */
async function books(places: readonly Place[], startsOn: string) {
  const { accounts } = await get<TrialBalance>('/v1/journal/trial-balance?on=2026-12-31');
  const late = await get<{ items: LateChange[] }>('/v1/late-changes?limit=200');
  const ofPlaces = [];
  for (const { site, agreement } of places) {
    const items = (await get<{ items: OpenItem[] }>(`/v1/open-items?agreementId=${agreement.id}&limit=200`)).items.filter(({ state }) => state !== 'reversed');
    const advances = (await get<{ items: Advance[] }>(`/v1/advances?siteId=${site.id}&limit=200`)).items;
    const payments = (await get<{ items: Payment[] }>(`/v1/payments?agreementId=${agreement.id}&limit=200`)).items;
    const preview = (await api.operator.as('bookkeeper').post('/v1/settlements/preview', { agreementId: agreement.id, startsOn })).body as SettlementPreview;
    ofPlaces.push({
      items: items.map(({ startsOn: first, partyId, amount, open, state }) => ({ first, partyId, amount, open, state })),
      advances: advances.map(({ id, open, state }) => ({ id, open, state })),
      payments: payments.map(({ id, unmatched, onAccount, state }) => ({ id, unmatched, onAccount, state })),
      preview: { lines: preview.lines?.map(({ kind, label, amount }) => ({ kind, label, amount })), totals: preview.totals },
    });
  }
  return { accounts: Object.fromEntries(accounts.filter(({ balance }) => Number(balance.amount) !== 0).map(({ code, balance }) => [code, balance.amount])), late: late.items.map(({ id }) => id), ofPlaces };
}

const monthAfter = (month: string): string => new Date(Date.UTC(Number(month.slice(0, 4)), Number(month.slice(5)), 1)).toISOString().slice(0, 7);
const lastDayOf = (month: string): string => new Date(Date.UTC(Number(month.slice(0, 4)), Number(month.slice(5)), 0)).toISOString().slice(0, 10);

/** Every balance at the end of each of these days, and what the account of each place comes to then. */
async function booksAt(places: readonly Place[], days: readonly string[]): Promise<object[]> {
  const said: object[] = [];
  for (const day of days) {
    const { accounts } = await get<TrialBalance>(`/v1/journal/trial-balance?on=${day}`);
    const closings: object[] = [];
    for (const { site } of places) {
      const { accounts: own } = await get<SiteAccount>(`/v1/sites/${site.id}/account?on=${day}`);
      closings.push(...own.map(({ closing, madeOf, items }) => ({ closing, madeOf, open: items.map(({ open }) => open.amount).sort() })));
    }
    said.push({ day, balances: Object.fromEntries(accounts.filter(({ balance }) => Number(balance.amount) !== 0).map(({ code, balance }) => [code, balance.amount])), closings });
  }
  return said;
}

/** Closes the books through the end of a month, or opens them again from its beginning. */
const journal = (verb: 'close' | 'reopen', month: string) => api.operator.as('owner').post(`/v1/journal/${verb}`, { month, reason: 'For the auditor.' }).expect(200);

async function enter({ body }: Visit): Promise<void> {
  const { id } = (await api.operator.as('collector').post('/v1/collections', body).expect(201)).body as { id: string };
  await api.operator.as('bookkeeper').post(`/v1/collections/${id}/accept`).expect(200);
}

test(`reversal brings every balance back, and settling anew brings it forth again (seed ${seed})`, async () => {
  const chance = chanceFrom(seed);
  const places: Place[] = [];
  for (let made = 0; made < 3; made += 1) places.push(await makePlace(office, chance));
  let held: Visit[] = [];
  let reversals = 0;
  let closedMonths = 0;
  let earlier: string | undefined;
  for (const month of months) {
    const startsOn = `${month}-01`;
    const visits = places.flatMap((place) => Array.from({ length: chance.between(1, 2) }, () => visitOf(chance, place, month)));
    for (const visit of held) await enter(visit);
    held = visits.filter(() => chance.percent(25));
    for (const visit of visits) if (!held.includes(visit)) await enter(visit);
    for (const place of places) {
      if (chance.percent(50)) await reportCards(office, chance, { place, month });
      if (chance.percent(60)) await dealInAdvances(office, chance, { place, month });
      await dealInPayments(office, chance, place);
    }
    // A site whose every visit came late has nothing settled yet for the month before.
    if (earlier !== undefined) {
      await settleMissing(api, earlier);
      await issueMonth(api, earlier);
    }
    const { id, failures } = await closeMonth(api, startsOn);
    earlier = id;
    expect(failures).toEqual([]);
    const before = await books(places, startsOn);
    expect((await issueMonth(api, id)).failures).toEqual([]);
    const after = await books(places, startsOn);
    expect(after.accounts).not.toEqual(before.accounts);

    // Days around those on which something can be booked: the month's last, the first that is open, and the one on which people act.
    const [last, next] = [lastDayOf(month), `${monthAfter(month)}-01`];
    const days = [last, next, lastDayOf(monthAfter(month)), '2026-05-01', office.today].filter((day) => day <= office.today);
    const atEachDay = await booksAt(places, days);
    const closed = chance.percent(50);
    if (closed) await journal('close', month);
    closedMonths += closed ? 1 : 0;

    const { items } = await get<{ items: SettlementRow[] }>(`/v1/settlements?startsOn=${startsOn}&limit=200`);
    for (const settlement of items) {
      await api.operator.as('bookkeeper').post(`/v1/settlements/${settlement.id}/reversal`, { reason: 'Looked at again.' }).expect(200);
      reversals += 1;
    }
    expect(await books(places, startsOn)).toEqual(before);
    expect(await accountsThatDoNotAddUp(office, places, days)).toEqual([]);
    expect((await settleMissing(api, id)).failures).toEqual([]);
    expect((await issueMonth(api, id)).failures).toEqual([]);
    expect(await books(places, startsOn)).toEqual(after);
    expect(await booksAt(places, days)).toEqual(atEachDay);
    expect(await accountsThatDoNotAddUp(office, places, days)).toEqual([]);
    if (closed) await journal('reopen', month);
  }
  expect(await onConnection(api.db.urls.superuser, brokenInvariants)).toEqual([]);
  expect(reversals).toBeGreaterThanOrEqual(months.length);
  process.stdout.write(`seed ${seed}: ${reversals} settlements reversed, ${closedMonths} of ${months.length} months closed meanwhile\n`);
}, 60_000 + months.length * 30_000);
