/** What goes on in an office besides closing months, by chance: visits, cards, refunds, advances, payments and what becomes of them. */
import { randomUUID } from 'node:crypto';
import type { Advance } from '#contracts/advance';
import type { OpenItem } from '#contracts/open-item';
import type { Payment } from '#contracts/payment';
import type { SiteAccount } from '#contracts/site-account';
import type { Chance } from '#command/demo/random';
import type { TestOperator } from './api';
import { usd } from './collecting';
import { etag, makeMachine, makePlacement, makeRunningSite, plainTerms, type Made } from './set-up';

export type Place = { readonly site: Made; readonly agreement: Made; readonly machines: readonly Made[] };
export type Visit = { readonly body: object };

/** Books of an operator, with the day on which its people act. */
export type Office = { readonly operator: TestOperator; readonly today: string };

/** A site of two machines under terms that carry nearly everything: rests of a rent, losses, small payouts, advances worked off. */
export async function makePlace({ operator }: Office, chance: Chance): Promise<Place> {
  const office = operator.as('owner');
  const { site, machine, party, agreement } = await makeRunningSite(office);
  const second = await makeMachine(office);
  await makePlacement(office, { machineId: second.id, siteId: site.id });
  const tax = {
    method: 'on-takings', title: 'Receipts tax', currency: 'USD', machineKinds: 'all', filedBy: chance.pick(['operator', 'site']), borneBy: chance.pick(['all', 'operator']), breakIns: 'in-base',
    negative: 'carry', capPerMachineMonth: null, rounding: 'apart', components: [{ id: 'state', title: 'State', ratePercent: '6.25', machineKinds: 'all' }],
  };
  await office.post(`/v1/tax-areas/${site['taxAreaId'] as string}/rules`, { code: 'TAX', validFrom: '2025-01-01', source: 'Invented for tests.', document: tax }).expect(201);
  const rent = { id: 'rent', title: 'Rent', to: chance.pick(['operator', party.id]), scope: 'agreement', amount: { kind: 'amount', per: 'period', amount: `${chance.between(20, 150)}.00` }, rest: 'carry' };
  const terms = {
    ...plainTerms({ partyId: party.id }),
    charges: [rent],
    advances: chance.percent(50) ? { kind: 'percentage', percent: '50' } : { kind: 'fixed', amount: '15.00' },
    payout: { smallest: `${chance.between(0, 40)}.00`, negative: chance.pick(['carry', 'claim']), smallestCoin: null },
  };
  await office.post(`/v1/agreements/${agreement.id}/versions`, { effectiveFrom: '2025-01-02', terms, reason: 'As agreed.' }).set('If-Match', etag(agreement)).expect(201);
  return { site, agreement, machines: [machine, second] };
}

const cents = ['00', '25', '50', '75'] as const;
const dayOf = (chance: Chance, month: string): string => `${month}-${String(chance.between(2, 27)).padStart(2, '0')}`;

let moment = 0;

/** A visit with its counts; at some money is given back to players or left with the site. */
export function visitOf(chance: Chance, place: Place, month: string): Visit {
  moment += 1;
  const amount = (): string => `${chance.between(0, 400)}.${chance.pick(cents)}`;
  const counts = place.machines.map((machine) => ({ machineTag: machine['tag'], coin: usd(amount()), note: usd(`${chance.between(0, 90)}.00`) }));
  const day = dayOf(chance, month);
  const happenedAt = new Date(Date.parse(`${day}T14:00:00Z`) + moment * 1000).toISOString();
  const refund = { machineTag: chance.pick(place.machines)['tag'], refundedOn: day, amount: usd(`${chance.between(1, 120)}.50`), paidBy: chance.pick(['site', 'operator']) };
  return {
    body: {
      siteId: place.site.id,
      happenedAt,
      counts,
      refunds: chance.percent(25) ? [refund] : [],
      cashHanded: chance.percent(25) ? [{ amount: usd(`${chance.between(1, 40)}.00`), acknowledgedBy: 'Whoever is at the bar' }] : [],
    },
  };
}

/** What a card reader reports for one day. */
export async function reportCards({ operator }: Office, chance: Chance, asked: { place: Place; month: string }): Promise<void> {
  const { place, month } = asked;
  const gross = chance.between(1, 90);
  const report = { id: randomUUID(), machineTag: chance.pick(place.machines)['tag'], localDate: dayOf(chance, month), gross: usd(`${gross}.25`), refunded: usd(`${chance.between(0, gross)}.00`) };
  const answer = await operator.as('bookkeeper').post('/v1/cashless-takings', { reports: [report] });
  // Now and then the day has been reported already.
  if (answer.status !== 201 && answer.status !== 409) throw new Error(JSON.stringify(answer.body));
}

/** An advance is given, paid back, or what was paid back by mistake is undone. */
export async function dealInAdvances({ operator, today }: Office, chance: Chance, asked: { place: Place; month: string }): Promise<void> {
  const { place, month } = asked;
  const office = operator.as('bookkeeper');
  const { items } = (await office.get(`/v1/advances?siteId=${place.site.id}`).expect(200)).body as { items: Advance[] };
  const [latest] = items.filter(({ state }) => state === 'open');
  const undoable = items.flatMap(({ id, history }) => history.filter(({ kind, undone, reductionId }) => kind === 'paid-back' && !undone && reductionId !== null).map(({ reductionId }) => ({ id, reductionId })));
  if (undoable.length > 0 && chance.percent(40)) {
    const { id, reductionId } = chance.pick(undoable);
    await office.post(`/v1/advances/${id}/undo`, { reductionId, reason: 'It was meant for another site.' }).expect(200);
  } else if (latest !== undefined && chance.percent(50)) {
    const part = chance.percent(60) && Number(latest.open.amount) > 1 ? { amount: usd('1.00') } : {};
    // Noted late now and then: undone today, it leaves days between on which the books have less open.
    const paidOn = chance.percent(50) ? today : `${month}-20`;
    const answer = await office.post(`/v1/advances/${latest.id}/pay-back`, { ...part, method: 'bank', paidOn });
    const code = (answer.body as { code?: string }).code ?? '';
    if (answer.status !== 200 && (paidOn === today || !['invalid-command', 'journal-closed'].includes(code))) throw new Error(JSON.stringify(answer.body));
  } else {
    const given = { agreementId: place.agreement.id, amount: usd(`${chance.between(5, 80)}.00`), method: 'bank', document: 'By hand', reason: 'A new counter.', givenOn: `${month}-05` };
    await office.post('/v1/advances', given).expect(201);
  }
}

/** Something is paid, comes back, is disputed, given up, matched anew or put on account. */
export async function dealInPayments(office: Office, chance: Chance, place: Place): Promise<void> {
  const client = office.operator.as('bookkeeper');
  const { items } = (await client.get(`/v1/open-items?agreementId=${place.agreement.id}`).expect(200)).body as { items: OpenItem[] };
  const standing = items.filter(({ state }) => state !== 'reversed');
  if (standing.length > 0 && chance.percent(70)) await dealWithItem(office, chance, chance.pick(standing));
  const payments = ((await client.get(`/v1/payments?agreementId=${place.agreement.id}`).expect(200)).body as { items: Payment[] }).items.filter(({ state }) => state !== 'returned');
  if (payments.length > 0 && chance.percent(50)) await dealWithPayment(office, chance, chance.pick(payments));
  if (chance.percent(15)) {
    const onAccount = { agreementId: place.agreement.id, amount: usd(`${chance.between(1, 30)}.00`), method: chance.pick(['bank', 'cash']), direction: chance.pick(['to-payee', 'from-payee']), paidOn: office.today, onAccount: true };
    await client.post('/v1/payments', onAccount).expect(201);
  }
}

async function dealWithItem({ operator, today }: Office, chance: Chance, item: OpenItem): Promise<void> {
  const client = operator.as('bookkeeper');
  const open = Number(item.open.amount);
  if (item.state === 'written-off') await operator.as('owner').post(`/v1/open-items/${item.id}/undo-write-off`, { reason: 'They came to pay.' }).expect(200);
  else if (item.state === 'disputed') await client.post(`/v1/open-items/${item.id}/release`, { note: 'Cleared up.' }).expect(200);
  else if (open === 0) return;
  else if (chance.percent(15)) await client.post(`/v1/open-items/${item.id}/hold`, { note: 'They counted otherwise.' }).expect(200);
  else if (chance.percent(10)) await operator.as('owner').post(`/v1/open-items/${item.id}/write-off`, { reason: 'Not worth it.' }).expect(200);
  else {
    const size = Math.abs(open);
    const amount = usd((chance.percent(40) && size > 0.05 ? 0.05 : size).toFixed(2));
    const direction = open < 0 ? 'from-payee' : 'to-payee';
    await client.post('/v1/payments', { agreementId: item.agreementId, direction, amount, method: 'bank', paidOn: today, settlements: [{ settlementId: item.settlementId }] }).expect(201);
  }
}

/** What may be refused for a reason that lies in the books: nothing is due that it could be matched with. */
const mayBeRefused = ['invalid-command'];

async function dealWithPayment({ operator, today }: Office, chance: Chance, payment: Payment): Promise<void> {
  const client = operator.as('bookkeeper');
  const path = `/v1/payments/${payment.id}`;
  if (payment.matches.length > 0 && chance.percent(50)) await client.post(`${path}/unmatch`, { note: 'Meant for another month.' }).expect(200);
  else if (payment.setOffIn === null && chance.percent(30)) await client.post(`${path}/return`, { returnedOn: today, reason: 'The account is closed.' }).expect(200);
  else if (Number(payment.unmatched.amount) > 0 && payment.setOffIn === null && chance.percent(50)) {
    await client.post(`${path}/put-on-account`, { note: 'For next month.' }).expect(200);
  } else if (Number(payment.unmatched.amount) > 0 || (payment.setOffIn === null && Number(payment.onAccount.amount) > 0)) {
    const answer = await client.post(`${path}/match`, {});
    if (answer.status !== 200 && !mayBeRefused.includes((answer.body as { code: string }).code)) throw new Error(JSON.stringify(answer.body));
  }
}

/** Sites whose account at the end of one of these days is not what it says that it is made of; none should be. */
export async function accountsThatDoNotAddUp({ operator, today }: Office, places: readonly Place[], days: readonly string[] = [today]): Promise<string[]> {
  const wrong: string[] = [];
  for (const { site } of places) {
    for (const day of days) {
      const { accounts } = (await operator.as('bookkeeper').get(`/v1/sites/${site.id}/account?on=${day}`).expect(200)).body as SiteAccount;
      for (const { closing, madeOf } of accounts) {
        const parts = [madeOf.openItems, madeOf.carried, madeOf.unmatched, madeOf.handed, madeOf.advances];
        if (parts.reduce((sum, part) => sum + minorOf(part.amount), 0n) !== minorOf(closing.amount)) wrong.push(`${site['code'] as string} ${day}: ${JSON.stringify({ closing, madeOf })}`);
      }
    }
  }
  return wrong;
}

function minorOf(amount: string): bigint {
  return BigInt(amount.replace('.', ''));
}
