import { chanceFrom } from '#command/demo/random';
import type { Ageing } from '#contracts/ageing';
import type { OpenItem } from '#contracts/open-item';
import type { Payment } from '#contracts/payment';
import type { Settlement } from '#contracts/settlement';
import type { PartyAccount, SiteAccount } from '#contracts/site-account';
import { apiForAllTests, type TestApi, type TestClient, type TestOperator } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { errorsOf, makeMachine, makePlacement, makeRunningSite, makeSite, plainTerms, type Made } from '#tests/support/set-up';

let api: TestApi;
let operator: TestOperator;
let office: TestClient;
const freshApi = apiForAllTests({ now: '2026-05-02T15:00:00Z' });
beforeEach(async () => {
  api = await freshApi();
  operator = api.operator;
  office = operator.as('bookkeeper');
});

type Place = { readonly site: Made; readonly machine: Made; readonly party: Made; readonly agreement: Made };

const collect = (place: Pick<Place, 'site' | 'machine'>, day: string, coin: string, handed?: string): Promise<Made> =>
  makeAcceptedCollection(office, place.site, [count(place.machine, coin, '0.00')], {
    happenedAt: moment(day),
    ...(handed === undefined ? {} : { cashHanded: [{ amount: usd(handed), acknowledgedBy: 'Bar staff' }] }),
  });

async function settle(startsOn: string): Promise<void> {
  await issueMonth(api, (await closeMonth(api, startsOn)).id);
}

const accountsOf = async (site: Made, query = '', reader = office): Promise<SiteAccount> => (await reader.get(`/v1/sites/${site.id}/account${query}`).expect(200)).body as SiteAccount;

async function accountOf(site: Made, query = '', reader = office): Promise<PartyAccount> {
  const [account] = (await accountsOf(site, query, reader)).accounts;
  if (account === undefined) throw new Error('no account');
  return account;
}

const shown = (account: PartyAccount): string[] => account.lines.map((line) => `${line.date} ${line.kind} ${line.amount.amount} ${line.balance.amount}`);

const minorOf = ({ amount }: { amount: string }): bigint => BigInt(amount.replace('.', ''));
const sumOf = (amounts: readonly { amount: string }[]): bigint => amounts.reduce((sum, each) => sum + minorOf(each), 0n);

/** Two issued months: 40.00 of February, of which 15.00 were handed over on the spot, and 20.00 of March. */
async function twoMonths(): Promise<Place> {
  const place = await makeRunningSite(office);
  await collect(place, '2026-02-10', '100.00', '15.00');
  await collect(place, '2026-03-10', '50.00');
  await settle('2026-02-01');
  await settle('2026-03-01');
  return place;
}

it('lists every entry with the balance after it, and ages what is open', async () => {
  const place = await twoMonths();
  const march: Settlement = await settlementOf(api, { siteId: place.site.id, startsOn: '2026-03-01' });
  await office.post('/v1/payments', { agreementId: place.agreement.id, amount: usd('30.00'), method: 'bank', reference: 'T-77', paidOn: '2026-04-20' }).expect(201);
  const account = await accountOf(place.site, '?on=2026-05-02');
  expect(shown(account)).toEqual([
    '2026-02-10 cash-handed -15.00 -15.00',
    '2026-02-28 settlement 40.00 25.00',
    '2026-03-31 settlement 20.00 45.00',
    '2026-04-20 payment -30.00 15.00',
  ]);
  expect(account).toMatchObject({ partyId: place.party.id, agreementId: place.agreement.id, opening: usd('0.00'), closing: usd('15.00') });
  expect(account.lines.map((line) => line.reference)).toEqual(['', expect.stringMatching(/-000001$/), march.number, 'T-77']);
  expect(account.items).toMatchObject([{ settlementId: march.id, number: march.number, dueOn: '2026-03-31', ageDays: 32, open: usd('15.00'), disputed: false }]);
  expect(account.ageing.map((each) => each.toPayee.amount)).toEqual(['0.00', '15.00', '0.00', '0.00']);
  expect(account.madeOf).toEqual({ openItems: usd('15.00'), carried: usd('0.00'), unmatched: usd('0.00'), handed: usd('0.00'), advances: usd('0.00') });
});

it('is of any day: before the payment, and with what came before a first day as its opening', async () => {
  const place = await twoMonths();
  await office.post('/v1/payments', { agreementId: place.agreement.id, amount: usd('30.00'), method: 'bank', paidOn: '2026-04-20' }).expect(201);
  const before = await accountOf(place.site, '?on=2026-04-19');
  expect(before.closing).toEqual(usd('45.00'));
  // February fell due 50 days ago, March 19.
  expect(before.ageing.map((each) => each.toPayee.amount)).toEqual(['20.00', '25.00', '0.00', '0.00']);
  const visit = await accountOf(place.site, '?on=2026-02-20');
  expect(visit).toMatchObject({ closing: usd('-15.00'), madeOf: { openItems: usd('0.00'), handed: usd('-15.00') }, items: [] });
  const later = await accountOf(place.site, '?from=2026-03-01&on=2026-05-02');
  expect(later.opening).toEqual(usd('25.00'));
  expect(shown(later)[0]).toBe('2026-03-31 settlement 20.00 45.00');
});

it('shows returns, disputes and what was carried because it was too small', async () => {
  const place = await makeRunningSite(office, { site: { id: operator.siteId } });
  const agreed = { ...plainTerms({ partyId: place.party.id }), payout: { smallest: '30.00', negative: 'carry', smallestCoin: null } };
  await office.post(`/v1/agreements/${place.agreement.id}/versions`, { effectiveFrom: '2026-01-01', terms: agreed, reason: 'Smallest payout' }).set('If-Match', `"${place.agreement.revision}"`).expect(201);
  await collect(place, '2026-02-10', '50.00');
  await collect(place, '2026-03-10', '100.00');
  await settle('2026-02-01');
  const small = await accountOf(place.site, '?on=2026-03-01');
  expect(small).toMatchObject({ closing: usd('20.00'), madeOf: { openItems: usd('0.00'), carried: usd('20.00') }, lines: [{ carried: usd('20.00') }] });
  await settle('2026-03-01');
  const paid = (await office.post('/v1/payments', { agreementId: place.agreement.id, amount: usd('60.00'), method: 'bank', paidOn: '2026-04-20' }).expect(201)).body as Payment;
  await office.post(`/v1/payments/${paid.id}/return`, { returnedOn: '2026-04-25', reason: 'Account closed.' }).expect(200);
  const { items } = (await office.get(`/v1/open-items?agreementId=${place.agreement.id}`).expect(200)).body as { items: OpenItem[] };
  await office.post(`/v1/open-items/${items[0]?.id ?? ''}/hold`, { note: 'The bar disputes a slip.' }).expect(200);
  const account = await accountOf(place.site);
  expect(shown(account)).toEqual([
    '2026-02-28 settlement 20.00 20.00',
    '2026-03-31 settlement 40.00 60.00',
    '2026-04-20 payment -60.00 0.00',
    '2026-04-25 payment-returned 60.00 60.00',
    '2026-05-02 disputed 0.00 60.00',
  ]);
  expect(account).toMatchObject({ madeOf: { openItems: usd('60.00'), carried: usd('0.00') }, items: [{ disputed: true }] });
  expect(account.lines.map((line) => line.note).filter((note) => note !== '')).toEqual(['Account closed.', 'The bar disputes a slip.']);
  // A reader outside the office meets the figures without the reasons.
  const manager = await accountOf(place.site, '', operator.as('site-manager'));
  expect(shown(manager)).toEqual(shown(account));
  expect(manager.lines.every((line) => line.note === '')).toBe(true);
});

it('is downloaded as CSV, in which a text is no formula', async () => {
  const place = await twoMonths();
  await office.post('/v1/payments', { agreementId: place.agreement.id, amount: usd('10.00'), method: 'bank', reference: '=1+1', paidOn: '2026-04-20' }).expect(201);
  const answer = await office.get(`/v1/sites/${place.site.id}/account/export?on=2026-05-02`).expect(200);
  expect(answer.headers['content-type']).toMatch(/^text\/csv/);
  expect(answer.headers['content-disposition']).toContain(`account-${String(place.site['code'])}-2026-05-02.csv`);
  const lines = answer.text.split('\r\n');
  expect(lines[0]).toBe('level,site,agreement,party,date,kind,reference,note,age_days,currency,amount,balance');
  expect(lines.filter((line) => line.startsWith('line,')).map((line) => line.split(',').slice(4, 7).join(' '))).toEqual([
    '2026-02-10 cash-handed ', expect.stringMatching(/^2026-02-28 settlement /), expect.stringMatching(/^2026-03-31 settlement /), "2026-04-20 payment '=1+1",
  ]);
  expect(lines.find((line) => line.startsWith('closing,'))).toMatch(/,USD,,35\.00$/);
});

it('refuses days that run backwards, and knows only sites that are there', async () => {
  const { site } = await makeRunningSite(office);
  expect(errorsOf(await office.get(`/v1/sites/${site.id}/account?from=2026-03-02&on=2026-03-01`).expect(400))).toEqual(['from after-on']);
  expect(errorsOf(await office.get(`/v1/sites/${site.id}/account?on=2026-02-30`).expect(400))).toEqual(['on wrong-format']);
  await office.get('/v1/sites/01890000-0000-7000-8000-00000000ffff/account').expect(404);
});

/** Balances at a day of the accounts of a payee, above zero in its favour, as the journal has them. */
async function journalOf(party: Made, on: string): Promise<bigint> {
  const { accounts } = (await office.get(`/v1/journal/trial-balance?on=${on}`).expect(200)).body as { accounts: { code: string; balance: { amount: string } }[] };
  return -sumOf(accounts.filter(({ code }) => code.endsWith(`:${party.id}`)).map(({ balance }) => balance));
}

const ageingAt = async (on: string): Promise<Ageing> => (await office.get(`/v1/open-items/ageing?on=${on}`).expect(200)).body as Ageing;

async function expectReconciled(places: readonly Place[], days: readonly string[]): Promise<void> {
  const [{ party } = { party: undefined }] = places;
  if (party === undefined) throw new Error('no place');
  for (const on of days) {
    const accounts = (await Promise.all(places.map(({ site }) => accountsOf(site, `?on=${on}`)))).flatMap((each) => each.accounts);
    expect({ on, minor: sumOf(accounts.map(({ closing }) => closing)) }).toEqual({ on, minor: await journalOf(party, on) });
    // The list across all sites says of each what its own account says.
    const aged = (await ageingAt(on)).accounts.map(({ agreementId, ageing }) => ({ agreementId, ageing }));
    const open = accounts.filter(({ items }) => items.length > 0).map(({ agreementId, ageing }) => ({ agreementId, ageing }));
    expect(aged).toHaveLength(open.length);
    expect(aged).toEqual(expect.arrayContaining(open));
    for (const { closing, madeOf, ageing, items, lines, opening } of accounts) {
      expect({ on, minor: sumOf(Object.values(madeOf)) }).toEqual({ on, minor: minorOf(closing) });
      expect(sumOf(ageing.flatMap(({ toPayee, fromPayee }) => [toPayee, fromPayee]))).toBe(sumOf(items.map(({ open }) => open)));
      expect(sumOf(items.map(({ open }) => open))).toBe(minorOf(madeOf.openItems));
      expect(minorOf(opening) + sumOf(lines.map(({ amount }) => amount))).toBe(minorOf(closing));
    }
  }
}

it('lists what is owed either way at all sites by age, with sums for each currency, and as a file', async () => {
  const place = await makeRunningSite(office);
  const other = await makeRunningSite(office);
  await collect(place, '2026-02-10', '100.00');
  await collect(place, '2026-03-10', '50.00');
  await collect(other, '2026-03-12', '80.00');
  await settle('2026-02-01');
  await settle('2026-03-01');
  const name = async ({ site, agreement, party }: Place) => {
    const { code, name: siteName } = (await office.get(`/v1/sites/${site.id}`).expect(200)).body as { code: string; name: string };
    return [code, siteName, agreement['code'] as string, (await office.get(`/v1/parties/${party.id}`).expect(200)).body.name as string];
  };
  expect((await ageingAt('2026-03-30')).accounts).toMatchObject([{ siteId: place.site.id, oldestOn: '2026-02-28', toPayee: usd('40.00') }]);
  const ageing = await ageingAt('2026-05-02');
  expect(ageing.totals).toMatchObject([{ currency: 'USD', toPayee: usd('92.00'), fromPayee: usd('0.00') }]);
  expect(ageing.accounts.map(({ siteId, ageing: buckets }) => [siteId, buckets.map(({ toPayee }) => toPayee.amount)])).toEqual([
    [place.site.id, ['0.00', '20.00', '40.00', '0.00']],
    [other.site.id, ['0.00', '32.00', '0.00', '0.00']],
  ]);
  const file = await office.get('/v1/open-items/ageing/export?on=2026-05-02').expect(200);
  expect(file.headers['content-disposition']).toContain('ageing-2026-05-02.csv');
  const lines = [
    ['2026-05-02', ...(await name(place)), '2026-02-28', '31 to 60', 'USD', '20.00', '0.00'],
    ['2026-05-02', ...(await name(place)), '2026-02-28', '61 to 90', 'USD', '40.00', '0.00'],
    ['2026-05-02', ...(await name(other)), '2026-03-31', '31 to 60', 'USD', '32.00', '0.00'],
  ];
  expect(file.text.split('\r\n')).toEqual(['on,site,site_name,agreement,party,oldest_on,age_days,currency,to_payee,from_payee', ...lines.map((cells) => cells.join(',')), '']);
  expect((await operator.as('site-manager').get('/v1/open-items/ageing?on=2026-05-02').expect(200)).body).toMatchObject({ totals: [], accounts: [] });
});

it.each([11, 12, 13])('says at any day what the journal says, over random books of a payee with two sites (seed %i)', async (seed) => {
  const chance = chanceFrom(String(seed));
  const first = await makeRunningSite(office);
  const site = await makeSite(office);
  const machine = await makeMachine(office);
  await makePlacement(office, { machineId: machine.id, siteId: site.id });
  const terms = { ...plainTerms({ partyId: first.party.id }), payout: { smallest: '12.00', negative: 'carry', smallestCoin: null } };
  const agreement = (await office.post('/v1/agreements', { code: `B-${seed}`, siteId: site.id, partyId: first.party.id, startedOn: '2025-01-01', terms }).expect(201)).body as Made;
  const places: Place[] = [first, { site, machine, party: first.party, agreement }];
  const payments: Payment[] = [];
  const day = (month: string): string => `${month}-${String(chance.between(2, 27)).padStart(2, '0')}`;
  for (const month of ['2026-01', '2026-02', '2026-03', '2026-04']) {
    for (const place of places) {
      await collect(place, day(month), `${chance.between(10, 90)}.50`, chance.percent(50) ? `${chance.between(1, 9)}.00` : undefined);
      // Now and then more is handed over than the share comes to, so that the payee owes it.
      if (chance.percent(30)) await collect(place, day(month), '20.00', '20.00');
      if (chance.percent(30)) await office.post('/v1/payments', { agreementId: place.agreement.id, amount: usd('3.00'), method: 'cash', paidOn: day(month), onAccount: true }).expect(201);
    }
    await settle(`${month}-01`);
    for (const place of places) {
      const paidOn = month === '2026-04' ? '2026-05-01' : `2026-0${Number(month.slice(6)) + 1}-${chance.pick(['03', '17'])}`;
      const paid = await office.post('/v1/payments', { agreementId: place.agreement.id, amount: usd(`${chance.between(1, 9)}.25`), method: 'bank', paidOn });
      if (paid.status === 201) payments.push(paid.body as Payment);
    }
  }
  expect(payments.length).toBeGreaterThan(1);
  for (const paid of payments.filter(() => chance.percent(40))) {
    if (chance.percent(50)) await office.post(`/v1/payments/${paid.id}/unmatch`, { note: 'Meant for another month.' }).expect(200);
    else await office.post(`/v1/payments/${paid.id}/return`, { returnedOn: '2026-05-01', reason: 'Account closed.' }).expect(200);
  }
  // What is left of payments is put on account, and sometimes matched after all.
  for (const paid of payments) {
    const put = await office.post(`/v1/payments/${paid.id}/put-on-account`, { note: 'For the next month.' });
    if (put.status === 200 && chance.percent(40)) await office.post(`/v1/payments/${paid.id}/match`, {}).expect((answer) => expect([200, 422]).toContain(answer.status));
  }
  for (const place of places) {
    const { items } = (await office.get(`/v1/open-items?agreementId=${place.agreement.id}&unpaid=yes`).expect(200)).body as { items: OpenItem[] };
    const [item] = items;
    if (item === undefined || chance.percent(30)) continue;
    const accountingDate = chance.pick([item.datedOn, '2026-04-30']);
    await operator.as('owner').post(`/v1/open-items/${item.id}/write-off`, { reason: 'Too small to go after.', accountingDate }).expect(200);
    if (chance.percent(40)) await operator.as('owner').post(`/v1/open-items/${item.id}/undo-write-off`, { reason: 'It will be paid.', accountingDate: '2026-05-01' }).expect(200);
  }
  await expectReconciled(places, ['2025-12-31', '2026-01-15', '2026-01-31', '2026-02-20', '2026-02-28', '2026-03-18', '2026-03-31', '2026-04-30', '2026-05-01', '2026-05-02']);
  const open = await Promise.all(places.map(async (place) => ((await office.get(`/v1/open-items?agreementId=${place.agreement.id}&limit=200`).expect(200)).body as { items: OpenItem[] }).items));
  const today = (await Promise.all(places.map((place) => accountOf(place.site)))).map(({ madeOf }) => minorOf(madeOf.openItems));
  expect(today).toEqual(open.map((items) => sumOf(items.map((item) => item.open))));
});
