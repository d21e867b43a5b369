import type { TestClient } from './api';

/** A body as it came back; tests look into it freely. */
export type Made = { readonly id: string; readonly revision: number; readonly [field: string]: unknown };

let serial = 0;

/** A code that nobody in this process has used: `S-7`. */
export function nextCode(prefix: string): string {
  serial += 1;
  return `${prefix}-${serial}`;
}

async function post(client: TestClient, path: string, body: object): Promise<Made> {
  const answer = await client.post(path, body);
  if (answer.status !== 201) throw new Error(`POST ${path}: ${answer.status} ${JSON.stringify(answer.body)}`);
  return answer.body as Made;
}

export function makeTaxArea(client: TestClient, fields: object = {}): Promise<Made> {
  return post(client, '/v1/tax-areas', { code: nextCode('AREA'), name: 'Quillham County', country: 'US', ...fields });
}

export async function makeSite(client: TestClient, fields: object = {}): Promise<Made> {
  const taxAreaId = 'taxAreaId' in fields ? {} : { taxAreaId: (await makeTaxArea(client)).id };
  return post(client, '/v1/sites', {
    code: nextCode('S'),
    name: 'The Copper Kettle',
    address: ['12 Harbour Lane', 'Quillham'],
    timeZone: 'America/Chicago',
    currency: 'USD',
    openedOn: '2025-01-01',
    ...taxAreaId,
    ...fields,
  });
}

export function makeParty(client: TestClient, fields: object = {}): Promise<Made> {
  return post(client, '/v1/parties', { code: nextCode('P'), name: 'Kettle Hospitality', locale: 'en-US', ...fields });
}

export function makePerson(client: TestClient, fields: object = {}): Promise<Made> {
  return post(client, '/v1/people', { code: nextCode('E'), name: 'Orla Venn', employedBy: 'operator', startedOn: '2025-01-01', ...fields });
}

export function makeMachine(client: TestClient, fields: object = {}): Promise<Made> {
  return post(client, '/v1/machines', { tag: nextCode('M'), kind: 'pool-table', acquiredOn: '2025-01-01', ...fields });
}

export function makeGame(client: TestClient, fields: object = {}): Promise<Made> {
  return post(client, '/v1/games', { code: nextCode('G'), title: 'Gravel Comet', kind: 'pool-table', ...fields });
}

export function makePlacement(client: TestClient, fields: { machineId: string; siteId: string; placedOn?: string | undefined; removedOn?: string | undefined }): Promise<Made> {
  return post(client, '/v1/placements', { placedOn: '2025-01-01', ...fields });
}

/** Terms as simple as they come: shares of what is left, by calendar month. */
export function plainTerms(input: { partyId: string; operatorPercent?: string; sitePercent?: string; currency?: string; cycle?: object }): object {
  const { partyId, operatorPercent = '60', sitePercent = '40', currency = 'USD', cycle = { kind: 'month' } } = input;
  return {
    format: 1,
    currency,
    arrangement: 'machine-lease',
    parties: [
      { id: 'operator', role: 'operator' },
      { id: partyId, role: 'site' },
    ],
    cycle,
    basis: 'counted',
    grouping: 'site',
    tax: { filedBy: 'as-the-rule-says', borneBy: 'as-the-rule-says' },
    tokens: [],
    cashless: 'by-day',
    breakIns: { borneBy: 'all' },
    charges: [],
    split: { kind: 'shares', shares: [{ party: 'operator', percent: operatorPercent }, { party: partyId, percent: sitePercent }] },
    loss: 'carry',
    guarantees: [],
    advances: { kind: 'none' },
    payout: { smallest: currency === 'JPY' ? '0' : '0.00', negative: 'carry', smallestCoin: null },
  };
}

export function makeAgreement(client: TestClient, fields: { siteId: string; partyId: string; startedOn?: string }): Promise<Made> {
  return post(client, '/v1/agreements', {
    code: nextCode('A'),
    startedOn: '2025-01-01',
    terms: plainTerms({ partyId: fields.partyId }),
    ...fields,
  });
}

/** A site under an agreement with a machine that stands there since the first day. */
export async function makeRunningSite(
  client: TestClient,
  fields: { site?: object; machine?: object; agreement?: object } = {},
): Promise<{ site: Made; party: Made; machine: Made; placement: Made; agreement: Made }> {
  const site = await makeSite(client, fields.site);
  const party = await makeParty(client);
  const machine = await makeMachine(client, fields.machine);
  const placement = await makePlacement(client, { machineId: machine.id, siteId: site.id });
  const agreement = await makeAgreement(client, { siteId: site.id, partyId: party.id, ...fields.agreement });
  return { site, party, machine, placement, agreement };
}

/** Terms by the meters from June 2025 on. Counts that were recorded without what the meters imply cannot be settled then. */
export async function goByMeters(client: TestClient, running: { agreement: Made; party: Made }): Promise<void> {
  const terms = { ...plainTerms({ partyId: running.party.id }), basis: 'metered' };
  const answer = await client
    .post(`/v1/agreements/${running.agreement.id}/versions`, { effectiveFrom: '2025-06-01', terms, reason: 'By the meters' })
    .set('If-Match', etag(running.agreement));
  if (answer.status !== 201) throw new Error(`terms by the meters: ${answer.status} ${JSON.stringify(answer.body)}`);
}

/** The errors of a refused request as `pointer code` lines. */
export function errorsOf(answer: { body: unknown }): string[] {
  const { errors = [] } = answer.body as { errors?: { pointer: string; code: string }[] };
  return errors.map((error) => `${error.pointer} ${error.code}`);
}

export const etag = (made: { revision: number }): string => `"${made.revision}"`;
