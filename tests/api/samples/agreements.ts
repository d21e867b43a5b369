import { randomUUID } from 'node:crypto';
import type { TestOperator } from '#tests/support/api';
import type { Samples } from '#tests/support/samples';
import { makeAgreement, makeParty, nextCode, plainTerms, type Made } from '#tests/support/set-up';
import { siteAt } from './set-up';

type Place = { operator: TestOperator; siteId: string };

/** First day on which no agreement of the samples holds at a site; what is collected in samples lies before it. */
const FIRST_FREE_DAY = '2025-02-01';

/** A site with an agreement for January 2025, made once, and after that a new agreement per sample, each ending the one before. */
export async function siteUnderAgreement({ operator, siteId }: Place): Promise<string> {
  await siteAt({ operator, siteId });
  const office = operator.as('owner');
  const known = (await office.get(`/v1/agreements?siteId=${siteId}&limit=1`).expect(200)).body.items as Made[];
  if (known.length === 0) {
    const agreement = await makeAgreement(office, { siteId, partyId: (await makeParty(office)).id });
    await office.post(`/v1/agreements/${agreement.id}/end`, { endedOn: FIRST_FREE_DAY }).expect(200);
  }
  return siteId;
}

async function freeDay(place: Place): Promise<string> {
  await siteUnderAgreement(place);
  const office = place.operator.as('owner');
  const held = (await office.get(`/v1/agreements?siteId=${place.siteId}&on=2100-01-01`).expect(200)).body.items as { id: string; startedOn: string }[];
  const [open] = held;
  if (open === undefined) {
    const all = (await office.get(`/v1/agreements?siteId=${place.siteId}&limit=200`).expect(200)).body.items as { endedOn: string }[];
    return all.map(({ endedOn }) => endedOn).sort().at(-1) ?? FIRST_FREE_DAY;
  }
  const nextDay = new Date(Date.parse(`${open.startedOn}T00:00:00Z`) + 86_400_000).toISOString().slice(0, 10);
  await office.post(`/v1/agreements/${open.id}/end`, { endedOn: nextDay }).expect(200);
  return nextDay;
}

async function newAgreement(place: Place): Promise<Made & { partyId: string; startedOn: string }> {
  const office = place.operator.as('owner');
  const startedOn = await freeDay(place);
  const party = await makeParty(office);
  return { ...(await makeAgreement(office, { siteId: place.siteId, partyId: party.id, startedOn })), partyId: party.id, startedOn };
}

const thing = ({ id, revision }: Made) => ({ params: { id }, revision });

export const samples: Samples = {
  'GET /v1/agreements/{id}': { prepare: async (place) => thing(await newAgreement(place)) },
  'GET /v1/agreements/{id}/versions': { prepare: async (place) => thing(await newAgreement(place)) },
  'POST /v1/agreements': {
    prepare: async (place) => {
      const startedOn = await freeDay(place);
      const party = await makeParty(place.operator.as('owner'));
      return { body: { id: randomUUID(), code: nextCode('A'), siteId: place.siteId, partyId: party.id, startedOn, terms: plainTerms({ partyId: party.id }) } };
    },
  },
  'PATCH /v1/agreements/{id}': { prepare: async (place) => ({ ...thing(await newAgreement(place)), body: { code: nextCode('A') } }) },
  'POST /v1/agreements/{id}/end': {
    prepare: async (place) => ({ ...thing(await newAgreement(place)), body: { endedOn: '2026-01-01' } }),
  },
  'POST /v1/agreements/{id}/versions': {
    prepare: async (place) => {
      const agreement = await newAgreement(place);
      return { ...thing(agreement), body: { id: randomUUID(), effectiveFrom: agreement.startedOn, replaces: await firstVersion(place, agreement.id), terms: plainTerms(agreement) } };
    },
  },
  'POST /v1/agreements/terms/check': {
    prepare: async ({ operator, siteId }) => {
      const party = await makeParty(operator.as('owner'));
      return { body: { terms: plainTerms({ partyId: party.id }), siteId: await siteAt({ operator, siteId }) } };
    },
  },
};

async function firstVersion({ operator }: Place, agreementId: string): Promise<string> {
  const versions = (await operator.as('owner').get(`/v1/agreements/${agreementId}/versions`).expect(200)).body.items as { id: string }[];
  return versions[0]?.id ?? '';
}
