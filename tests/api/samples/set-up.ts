import { randomUUID } from 'node:crypto';
import type { TestClient, TestOperator } from '#tests/support/api';
import type { Sample, Samples } from '#tests/support/samples';
import { makeGame, makeMachine, makeParty, makePerson, makePlacement, makeSite, makeTaxArea, nextCode, type Made } from '#tests/support/set-up';

type Place = { operator: TestOperator; siteId: string };

/** The site of a sample, made the first time that one asks for it at that operator. */
export async function siteAt({ operator, siteId }: Place): Promise<string> {
  const office = operator.as('owner');
  if ((await office.get(`/v1/sites/${siteId}`)).status === 404) await makeSite(office, { id: siteId });
  return siteId;
}

const office = ({ operator }: Place): TestClient => operator.as('owner');
const thing = ({ id, revision }: Made) => ({ params: { id }, revision });
const reading = (make: (place: Place) => Promise<Made>): Sample => ({ prepare: async (place) => thing(await make(place)) });
const changing = (make: (place: Place) => Promise<Made>, body: object): Sample => ({ prepare: async (place) => ({ ...thing(await make(place)), body }) });
const creating = (body: (place: Place) => object | Promise<object>): Sample => ({ prepare: async (place) => ({ body: { id: randomUUID(), ...(await body(place)) } }) });

const taxArea = (place: Place) => makeTaxArea(office(place));
const party = (place: Place) => makeParty(office(place));
const person = (place: Place) => makePerson(office(place));
const game = (place: Place) => makeGame(office(place));
const site = async (place: Place): Promise<Made> => {
  await siteAt(place);
  return (await office(place).get(`/v1/sites/${place.siteId}`).expect(200)).body as Made;
};
const machine = (place: Place) => makeMachine(office(place));
const placement = async (place: Place) => makePlacement(office(place), { machineId: (await machine(place)).id, siteId: await siteAt(place) });
const placedMachine = async (place: Place): Promise<Made> => {
  const made = await machine(place);
  await makePlacement(office(place), { machineId: made.id, siteId: await siteAt(place) });
  return made;
};
const installation = async (place: Place): Promise<Made> => {
  const body = { machineId: (await placedMachine(place)).id, gameId: (await game(place)).id, installedOn: '2025-02-01' };
  return (await office(place).post('/v1/installations', body).expect(201)).body as Made;
};

const rule = {
  validFrom: '2025-01-01',
  source: 'County code, read 2025-01-02',
  document: {
    title: 'Sales tax',
    currency: 'USD',
    machineKinds: 'all',
    filedBy: 'operator',
    borneBy: 'all',
    breakIns: 'not-in-base',
    method: 'inside',
    negative: 'zero',
    capPerMachineMonth: null,
    components: [{ id: 'state', title: 'State', ratePercent: '4' }],
  },
};
const taxRule = async (place: Place) => {
  const area = await taxArea(place);
  const made = (await office(place).post(`/v1/tax-areas/${area.id}/rules`, { code: 'SALES', ...rule }).expect(201)).body as Made;
  return { params: { id: area.id, ruleId: made.id } };
};

const limit = { validFrom: '2025-01-01', source: 'County code, read 2025-01-02', document: { kind: 'highest-site-share', percent: '50' } };
const lawLimit = async (place: Place) => {
  const area = await taxArea(place);
  const made = (await office(place).post(`/v1/tax-areas/${area.id}/limits`, limit).expect(201)).body as Made;
  return { params: { id: area.id, limitId: made.id } };
};

/** A month in which the area has a tax, and nothing was counted. */
const taxMonth = { month: '2025-03' };
const taxedArea = async (place: Place) => ({ params: { id: (await taxRule(place)).params.id } });
const taxReturn = async (place: Place) => {
  const { params } = await taxedArea(place);
  const { digest } = (await office(place).get(`/v1/tax-areas/${params.id}/worksheet?month=2025-03`).expect(200)).body as { digest: string };
  return { params, body: { ...taxMonth, filedOn: '2025-05-01', digest } };
};

/** Nothing was counted, so nothing could be paid: it is written by hand. */
const taxPayment = async (place: Place) => {
  const { id } = await taxArea(place);
  const paymentId = randomUUID();
  await place.operator.inBooks((tx) =>
    tx.sql(
      `INSERT INTO tax_payment (tenant_id, id, tax_area_id, month, currency, amount_minor, method, paid_on, accounting_date, recorded_at, recorded_by)
       VALUES ($1, $2, $3, '2025-03-01', 'USD', 100, 'bank', '2025-05-02', '2025-05-02', now(), $4)`,
      [tx.tenantId, paymentId, id, tx.actor],
    ),
  );
  return { params: { id, paymentId }, body: { returnedOn: '2025-05-03', reason: 'Wrong account.' } };
};

export const samples: Samples = {
  'POST /v1/tax-areas': creating(() => ({ code: nextCode('AREA'), name: 'Quillham County', country: 'US' })),
  'GET /v1/tax-areas/{id}': reading(taxArea),
  'PATCH /v1/tax-areas/{id}': changing(taxArea, { name: 'Brindle Shire' }),
  'GET /v1/tax-areas/{id}/rules': reading(taxArea),
  'POST /v1/tax-areas/{id}/rules': { prepare: async (place) => ({ params: { id: (await taxArea(place)).id }, body: { code: 'SALES', ...rule } }) },
  'POST /v1/tax-areas/{id}/rules/{ruleId}/end': { prepare: async (place) => ({ ...(await taxRule(place)), body: { validTo: '2026-01-01' } }) },

  'POST /v1/tax-areas/copies': creating(() => ({ readyAreaId: 'us-tx', code: nextCode('AREA') })),
  'GET /v1/tax-areas/{id}/limits': reading(taxArea),
  'POST /v1/tax-areas/{id}/limits': { prepare: async (place) => ({ params: { id: (await taxArea(place)).id }, body: limit }) },
  'POST /v1/tax-areas/{id}/limits/{limitId}/end': { prepare: async (place) => ({ ...(await lawLimit(place)), body: { validTo: '2026-01-01' } }) },

  'GET /v1/tax-areas/{id}/worksheet': { prepare: async (place) => ({ ...(await taxedArea(place)), query: taxMonth }) },
  'GET /v1/tax-areas/{id}/worksheet/export': { prepare: async (place) => ({ ...(await taxedArea(place)), query: taxMonth }) },
  'GET /v1/tax-areas/{id}/returns': reading(taxArea),
  'GET /v1/tax-areas/{id}/returns/{returnId}': {
    prepare: async (place) => {
      const { params, body } = await taxReturn(place);
      const made = (await office(place).post(`/v1/tax-areas/${params.id}/returns`, body).expect(201)).body as Made;
      return { params: { ...params, returnId: made.id } };
    },
  },
  'POST /v1/tax-areas/{id}/returns': { prepare: taxReturn },
  'GET /v1/tax-areas/{id}/payments': reading(taxArea),
  'POST /v1/tax-areas/{id}/payments': { prepare: async (place) => ({ params: (await taxReturn(place)).params, body: { ...taxMonth, amount: { amount: '1.00', currency: 'USD' }, method: 'bank', paidOn: '2025-05-02' } }) },
  'POST /v1/tax-areas/{id}/payments/{paymentId}/return': { prepare: taxPayment },

  'POST /v1/sites': creating(async (place) => ({
    code: nextCode('S'), name: 'The Copper Kettle', timeZone: 'America/Chicago', currency: 'USD', taxAreaId: (await taxArea(place)).id, openedOn: '2025-01-01',
  })),
  'GET /v1/sites/{id}': reading(site),
  'GET /v1/sites/{id}/account': reading(site),
  'GET /v1/sites/{id}/account/export': reading(site),
  'PATCH /v1/sites/{id}': changing(site, { name: 'The Tin Kettle' }),

  'POST /v1/parties': creating(() => ({ code: nextCode('P'), name: 'Kettle Hospitality', locale: 'en-US' })),
  'GET /v1/parties/{id}': reading(party),
  'PATCH /v1/parties/{id}': changing(party, { name: 'Kettle Holdings' }),
  'GET /v1/parties/{id}/erasure': reading(party),
  'POST /v1/parties/{id}/erasure': { prepare: async (place) => ({ params: { id: (await party(place)).id } }) },

  'POST /v1/people': creating(async (place) => ({
    code: nextCode('E'), name: 'Orla Venn', employedBy: 'site', siteId: await siteAt(place), startedOn: '2025-01-01',
  })),
  'GET /v1/people/{id}': reading(person),
  'PATCH /v1/people/{id}': changing(person, { name: 'Orla Venn-Marsh' }),

  'POST /v1/machines': creating(() => ({ tag: nextCode('M'), kind: 'pool-table', acquiredOn: '2025-01-01' })),
  'GET /v1/machines/{id}': reading(placedMachine),
  'PATCH /v1/machines/{id}': changing(machine, { serialNumber: 'X-1' }),

  'POST /v1/games': creating(() => ({ code: nextCode('G'), title: 'Gravel Comet', kind: 'pool-table' })),
  'GET /v1/games/{id}': reading(game),
  'PATCH /v1/games/{id}': changing(game, { title: 'Gravel Comet Two' }),

  'POST /v1/placements': creating(async (place) => ({ machineId: (await machine(place)).id, siteId: await siteAt(place), placedOn: '2025-02-01' })),
  'GET /v1/placements/{id}': reading(placement),
  'PATCH /v1/placements/{id}': changing(placement, { placedOn: '2025-01-02' }),
  'POST /v1/placements/{id}/end': changing(placement, { removedOn: '2025-06-01' }),
  'POST /v1/placements/{id}/move': {
    prepare: async (place) => ({ ...thing(await placement(place)), body: { id: randomUUID(), siteId: (await makeSite(office(place))).id, movedOn: '2025-06-01' } }),
  },

  'POST /v1/installations': creating(async (place) => ({ machineId: (await machine(place)).id, gameId: (await game(place)).id, installedOn: '2025-02-01' })),
  'GET /v1/installations/{id}': reading(installation),
  'PATCH /v1/installations/{id}': changing(installation, { installedOn: '2025-02-02' }),
  'POST /v1/installations/{id}/end': changing(installation, { removedOn: '2025-06-01' }),
  'POST /v1/installations/{id}/replace': {
    prepare: async (place) => ({ ...thing(await installation(place)), body: { id: randomUUID(), gameId: (await game(place)).id, replacedOn: '2025-06-01' } }),
  },
};
