import type { TestClient, TestOperator } from '#tests/support/api';
import { makeAgreement, makeMachine, makeParty, makePlacement, makeSite, makeTaxArea, plainTerms, type Made } from '#tests/support/set-up';

/**
 * Months by the clock of this machine: a browser keeps cookies by it, so the books of these tests lie around it as well,
 * and by the calendar of their sites, where a month ends some hours later than in Greenwich.
 * `last` is the month to close, `before` the one that is closed already.
 */
export const months = { present: month(0), last: month(-1), before: month(-2) };

/** Today at the sites of these tests, asked for as a test begins: a file may be loaded before midnight, and run after it. */
export const todayAtSites = (): string => new Intl.DateTimeFormat('en-CA', { timeZone: 'America/Chicago' }).format(new Date());

export type Month = { readonly startsOn: string; readonly name: string; readonly title: string; readonly day: (day: number) => string };

function month(offset: number): Month {
  const [year, number] = new Intl.DateTimeFormat('en-CA', { timeZone: 'America/Chicago' }).format(new Date()).split('-').map(Number) as [number, number];
  const first = new Date(Date.UTC(year, number - 1 + offset, 1));
  const startsOn = first.toISOString().slice(0, 10);
  const written = (options: Intl.DateTimeFormatOptions) => new Intl.DateTimeFormat('en-US', { timeZone: 'UTC', ...options }).format(first);
  return {
    startsOn,
    name: written({ month: 'long' }),
    title: written({ month: 'long', year: 'numeric' }),
    day: (day) => `${startsOn.slice(0, 8)}${String(day).padStart(2, '0')}`,
  };
}

export const usd = (amount: string) => ({ amount, currency: 'USD' });

/** A tax that is inside the price: 4 % of the state and 0.5 % of the county. */
export async function makeAreaWithTax(client: TestClient): Promise<Made> {
  const area = await makeTaxArea(client);
  const document = {
    title: 'Sales tax', currency: 'USD', machineKinds: 'all', filedBy: 'operator', borneBy: 'all', breakIns: 'not-in-base', method: 'inside',
    negative: 'zero', capPerMachineMonth: null,
    components: [{ id: 'state', title: 'State sales tax', ratePercent: '4' }, { id: 'county', title: 'County surtax', ratePercent: '0.5' }],
  };
  await client.post(`/v1/tax-areas/${area.id}/rules`, { code: 'SALES', validFrom: '2025-01-01', source: 'Invented', document }).expect(201);
  return area;
}

export type RunningSite = { readonly site: Made; readonly machines: readonly Made[] };

/** A site with two machines under an agreement: 75 a week to the operator first, then half and half. */
export async function makeSharedSite(client: TestClient, fields: { code: string; name: string; id?: string; taxAreaId: string }): Promise<RunningSite> {
  const site = await makeSite(client, fields);
  const party = await makeParty(client, { name: `${fields.name} Hospitality` });
  const charge = { id: 'first-call', title: 'First call', to: 'operator', scope: 'agreement', amount: { kind: 'amount', per: 'week', amount: '75.00' }, rest: 'lapse' };
  const terms = { ...plainTerms({ partyId: party.id, operatorPercent: '50', sitePercent: '50' }), charges: [charge] };
  const agreement = { siteId: site.id, partyId: party.id, terms };
  await makeAgreement(client, agreement);
  const machines: Made[] = [];
  for (let number = 1; number <= 2; number += 1) {
    const machine = await makeMachine(client, { tag: `${fields.code}-${number}` });
    await makePlacement(client, { machineId: machine.id, siteId: site.id, placedOn: months.before.startsOn });
    machines.push(machine);
  }
  return { site, machines };
}

/** A visit at which each machine's box held `coin`; one slip and some cash for the site come with it. */
export async function collect(client: TestClient, { site, machines }: RunningSite, visit: { on: string; coin: string }): Promise<string> {
  const made = await client
    .post('/v1/collections', {
      siteId: site.id,
      // At noon, or just now before the noon of today: a month may be hours old.
      happenedAt: new Date(Math.min(Date.parse(`${visit.on}T18:00:00Z`), Date.now())).toISOString(),
      counts: machines.map((machine) => ({ machineTag: machine['tag'], coin: usd(visit.coin), note: usd('20.00') })),
      refunds: [{ machineTag: machines[0]?.['tag'], refundedOn: visit.on, amount: usd('2.50') }],
      cashHanded: [{ amount: usd('10.00'), acknowledgedBy: 'Bar staff' }],
    })
    .expect(201);
  return (made.body as Made).id;
}

export async function accept(client: TestClient, collectionId: string): Promise<void> {
  await client.post(`/v1/collections/${collectionId}/accept`).expect(200);
}

/** Closes, reviews and issues a month without a browser, for tests of what comes after. */
export async function issueMonth(operator: TestOperator, { startsOn }: Month): Promise<void> {
  const owner = operator.as('owner');
  const close = (await owner.post('/v1/closes', { cycle: 'month', startsOn }).expect(202)).body as Made;
  await operator.work();
  await owner.post(`/v1/closes/${close.id}/review`, {}).expect(202);
  await operator.work();
  await owner.post(`/v1/closes/${close.id}/issue`).expect(202);
  await operator.work();
}

/** Does the operator's background work as it comes, as the worker does beside the api, until told to stop. */
export function startWorking(operator: TestOperator): () => Promise<void> {
  let isOn = true;
  const turn = async (): Promise<void> => {
    while (isOn) {
      await operator.work();
      await new Promise((resolve) => setTimeout(resolve, 200));
    }
  };
  const working = turn();
  return async () => {
    isOn = false;
    await working;
  };
}
