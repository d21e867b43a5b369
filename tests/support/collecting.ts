import type { TestClient } from './api';
import type { Made } from './set-up';

export type Collected = Made & { readonly counts: readonly { readonly id: string }[] };

export const usd = (amount: string) => ({ amount, currency: 'USD' });

/** A count of 160.50 unless the test says otherwise. */
export const count = (machine: Made, coin = '120.50', note = '40.00', more: object = {}) => ({ machineTag: machine['tag'], coin: usd(coin), note: usd(note), ...more });

let minute = 0;

/** A moment of the day in Chicago; no two visits of the tests share one. */
export function moment(day = '2026-03-10'): string {
  minute += 1;
  return `${day}T${String(10 + Math.floor(minute / 60)).padStart(2, '0')}:${String(minute % 60).padStart(2, '0')}:00-05:00`;
}

export const visit = (site: Made, counts: object[], more: object = {}) => ({ siteId: site.id, happenedAt: moment(), counts, ...more });

export async function makeCollection(client: TestClient, site: Made, counts: object[], more: object = {}): Promise<Collected> {
  return (await client.post('/v1/collections', visit(site, counts, more)).expect(201)).body as Collected;
}

export async function makeAcceptedCollection(client: TestClient, site: Made, counts: object[], more: object = {}): Promise<Collected> {
  const made = await makeCollection(client, site, counts, more);
  return (await client.post(`/v1/collections/${made.id}/accept`).expect(200)).body as Collected;
}
