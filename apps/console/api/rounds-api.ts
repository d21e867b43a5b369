import * as sdk from '../generated';
import type { SendVisitData } from '../generated';
import { readAccount } from './account-api';
import { once, type Base } from './client';
import { everyPage } from './every-page';

/** The longest page that a list gives. */
const most = 200;

export interface RoundPlan {
  readonly name: string;
  readonly plannedOn: string;
  readonly collectorId: string;
  readonly siteIds: readonly string[];
}

/** Rounds, and visits entered on phones. */
export function roundsApi(base: Base) {
  return {
    ownStops: async (signal: AbortSignal) => (await sdk.ownStops({ ...base, signal })).data,
    coinSets: async (signal: AbortSignal) => (await sdk.coinsScaleCheck({ ...base, signal })).data.items,
    /** Asks who is signed in: the answer brings the proof that later requests come from this page. */
    renewAccount: async () => readAccount(),
    registerDevice: async (name: string, key: string) => (await sdk.registerVisit({ ...base, ...once(key), body: { name } })).data,
    /** The same visit from the same device is one request, however often it is sent. */
    sendVisit: async (body: SendVisitData['body']) => (await sdk.sendVisit({ ...base, ...once(`${body.id}.${body.deviceId}`), body })).data,
    collectionsDue: async (signal: AbortSignal) => (await sdk.dueRound({ ...base, signal })).data.items,
    setRhythm: async ({ siteId, ...body }: { siteId: string; everyDays: number; boxLimit: { amount: string; currency: string } | null }, key: string) =>
      (await sdk.rhythmRound({ ...base, ...once(key), path: { id: siteId }, body })).data,
    rounds: (from: string, signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listRound({ ...base, signal, query: { from, limit: most, ...(cursor === null ? {} : { cursor }) } })).data),
    /** Rounds before a day, the latest first; of `missed` ones those with stops where nobody has been since. */
    pastRounds: async ({ before, missed }: { readonly before: string; readonly missed: boolean }, cursor: string | null, signal: AbortSignal) =>
      (await sdk.listRound({ ...base, signal, query: { before, limit: 20, ...(missed ? { missed: 'yes' as const } : {}), ...(cursor === null ? {} : { cursor }) } })).data,
    round: async (id: string, signal: AbortSignal | null = null) => (await sdk.readRound({ ...base, signal, path: { id } })).data,
    planRound: async ({ siteIds, ...plan }: RoundPlan, key: string) => (await sdk.planRound({ ...base, ...once(key), body: { ...plan, siteIds: [...siteIds] } })).data,
    changeRound: async ({ id, revision, siteIds, ...plan }: RoundPlan & { id: string; revision: number }) =>
      (await sdk.changeRound({ ...base, path: { id }, headers: { 'If-Match': `"${revision}"` }, body: { ...plan, siteIds: [...siteIds] } })).data,
    cancelRound: async ({ id, reason }: { id: string; reason: string }, key: string) => (await sdk.cancelRound({ ...base, ...once(key), path: { id }, body: { reason } })).data,
    phoneVisits: async ({ state, seen }: { state: 'quarantined' | 'corrected' | 'discarded' | 'withdrawn'; seen?: 'yes' | 'no' }, cursor: string | null, signal: AbortSignal) =>
      (await sdk.listVisit({ ...base, signal, query: { state, limit: 50, ...(seen === undefined ? {} : { seen }), ...(cursor === null ? {} : { cursor }) } })).data,
    enterVisit: async ({ id, visit, reason }: { id: string; visit: sdk.Visit; reason: string }, key: string) => (await sdk.enterVisit({ ...base, ...once(key), path: { id }, body: { visit, reason } })).data,
    discardVisit: async ({ id, reason }: { id: string; reason: string }, key: string) => (await sdk.discardVisit({ ...base, ...once(key), path: { id }, body: { reason } })).data,
    withdrawVisit: async ({ id, reason }: { id: string; reason: string }, key: string) => (await sdk.withdrawVisit({ ...base, ...once(key), path: { id }, body: { reason } })).data,
    seeVisit: async ({ id }: { id: string }, key: string) => (await sdk.seenVisit({ ...base, ...once(key), path: { id } })).data,
    devices: async (signal: AbortSignal) => (await sdk.devicesVisit({ ...base, signal })).data.items,
    revokeDevice: async ({ id, reason }: { id: string; reason: string }, key: string) => (await sdk.revokeVisit({ ...base, ...once(key), path: { id }, body: { reason } })).data,
    releaseDevice: async ({ id, reason }: { id: string; reason: string }, key: string) => (await sdk.releaseVisit({ ...base, ...once(key), path: { id }, body: { reason } })).data,
  };
}
