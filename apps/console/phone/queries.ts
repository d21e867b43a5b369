import { queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';
import type { Account } from '../api/shapes';
import { isAway } from '../api/problem';
import { requireHolder } from './sending';
import { deviceOf, keep, keptFor, latestScale, visitsOf, type Holder, type Kept } from './store';

export const phoneKey = ['phone'] as const;
export const visitsKey = [...phoneKey, 'visits'] as const;

/** Today's stops and what else a phone keeps; where the api is away as they were read last. */
export function todayQuery(ask: { readonly api: OperatorApi; readonly holder: Holder; readonly account: Account }) {
  return queryOptions({
    queryKey: [...phoneKey, 'today'],
    queryFn: async ({ signal }): Promise<Kept & { readonly isFresh: boolean }> => {
      try {
        return { ...(await readToday(ask, signal)), isFresh: true };
      } catch (error) {
        const kept = isAway(error) ? await keptFor(ask.holder) : null;
        if (kept === null) throw error;
        return { ...kept, isFresh: false };
      }
    },
    // Whoever comes back to the list wants to see what was sent meanwhile.
    staleTime: 0,
  });
}

async function readToday({ api, holder, account }: Parameters<typeof todayQuery>[0], signal: AbortSignal): Promise<Kept> {
  const [stops, keys, coinSets, visits] = await Promise.all([api.ownStops(signal), api.ownKeys(signal), api.coinSets(signal), visitsOf(holder).catch(() => [])]);
  // Somebody else may have signed in in another window meanwhile: their stops and keys are not kept, nor shown, as this person's.
  await requireHolder({ holder, api });
  // A visit may be at a stop that has left the list since, in a currency that no other stop has.
  const currencies = new Set([...stops.stops, ...visits.map(({ stop }) => stop)].map(({ currency }) => currency));
  const kept = {
    stops,
    keys: keys.copies.map(({ keyCopyId, number, code }) => ({ keyCopyId, number, code })),
    coinSets: coinSets.filter(({ currency }) => currencies.has(currency)),
    readAt: new Date().toISOString(),
  };
  // What lies with the office is no unsent visit and no stop: it is shown, and not kept.
  await keep(holder, { ...kept, stops: { ...stops, keptVisits: [] } }, account);
  return kept;
}

/** Visits on this phone: begun, or waiting to be sent. */
export function visitsQuery(holder: Holder) {
  return queryOptions({ queryKey: visitsKey, queryFn: async () => visitsOf(holder), staleTime: 0 });
}

/** Whether the office revoked this phone, as far as it was told when it sent something. */
export function revokedQuery(holder: Holder) {
  return queryOptions({ queryKey: [...phoneKey, 'revoked'], queryFn: async () => (await deviceOf(holder))?.isRevoked === true, staleTime: 0 });
}

/** A check serves the counts of a day's work, and no more. */
const SCALE_SERVES_MS = 12 * 60 * 60 * 1000;

/** The check of the scale that was made today; null where coins were not weighed yet. */
export function scaleQuery(holder: Holder) {
  return queryOptions({
    queryKey: [...phoneKey, 'scale'],
    queryFn: async () => {
      const latest = await latestScale(holder).catch(() => null);
      return latest !== null && Date.now() - Date.parse(latest.checkedAt) < SCALE_SERVES_MS ? latest : null;
    },
    staleTime: 0,
  });
}
