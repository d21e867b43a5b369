/** A machine with a meter that goes from one site to another in the middle of May 2026; both are settled by the meters. */
import type { CollectionVariances } from '#contracts/variance';
import type { TestClient } from './api';
import { count, makeAcceptedCollection } from './collecting';
import { fitBoard, meterFields } from './metering';
import { goByMeters, makeRunningSite } from './set-up';

/** In Chicago, where the sites are. */
export const inMay = (day: number, hour = 12): string => `2026-05-${String(day).padStart(2, '0')}T${String(hour).padStart(2, '0')}:00:00-05:00`;

/** `move` is on the 12th; quarters are counted from the 1st on. */
export async function twoMeteredSites({ office, collector }: { readonly office: TestClient; readonly collector: TestClient }) {
  const [from, to] = [await makeRunningSite(office), await makeRunningSite(office)];
  for (const running of [from, to]) await goByMeters(office, running);
  const { meterId } = await fitBoard(office, from.machine.id, { fittedAt: inMay(1), meters: [meterFields({ value: '0' })] });
  const { machine } = from;
  const counted = async (site: typeof from.site, day: number, coin: string, value: string | null) =>
    (await makeAcceptedCollection(office, site, [count(machine, coin, '0.00', { readings: value === null ? [] : [{ meterId, value }] })], { happenedAt: inMay(day) })).id;
  const read = (occasion: string, happenedAt: string, value: string) => collector.post(`/v1/machines/${machine.id}/meter-readings`, { occasion, happenedAt, readings: [{ meterId, value }] }).expect(201);
  const move = () => office.post(`/v1/placements/${from.placement.id}/move`, { siteId: to.site.id, movedOn: '2026-05-12' }).expect(201);
  return { from, to, machine, meterId, counted, read, move };
}

/** Expected, counted and variance of each box of an accepted collection, and why nothing is expected. */
export async function variancesOf(reviewer: TestClient, collectionId: string) {
  const { items } = (await reviewer.get(`/v1/collections/${collectionId}/variances`).expect(200)).body as CollectionVariances;
  return items.map(({ expected, counted, variance, unknown }) => [expected?.amount ?? null, counted.amount, variance?.amount ?? null, ...unknown]);
}
