import * as sdk from '../generated';
import type { GiveAdvanceData } from '../generated';
import { once, type Base } from './client';
import { everyPage } from './every-page';

/** The longest page that a list gives. */
const most = 200;
const after = (cursor: string | null) => (cursor === null ? {} : { cursor });

export function sitesApi(base: Base) {
  return {
    sites: async (cursor: string | null, signal: AbortSignal) =>
      (await sdk.listSite({ ...base, signal, query: { limit: most, ...after(cursor) } })).data,
    site: async (id: string, signal: AbortSignal | null = null) => (await sdk.readSite({ ...base, signal, path: { id } })).data,
    siteAccount: async ({ siteId, on }: { siteId: string; on: string | null }, signal: AbortSignal) =>
      (await sdk.readSiteAccount({ ...base, signal, path: { id: siteId }, query: on === null ? {} : { on } })).data,
    siteAccountFile: async ({ siteId, on }: { siteId: string; on: string }) => {
      const { data: blob, response } = await sdk.exportedSiteAccount({ ...base, path: { id: siteId }, query: { on }, parseAs: 'blob' });
      return { blob, fileName: /filename="([^"]+)"/.exec(response.headers.get('content-disposition') ?? '')?.[1] ?? `account-${on}.csv` };
    },
    advancesOf: async (siteId: string, signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listAdvance({ ...base, signal, query: { siteId, limit: most, ...after(cursor) } })).data),
    giveAdvance: async (body: GiveAdvanceData['body'], key: string) => (await sdk.giveAdvance({ ...base, ...once(key), body })).data,
    machinesAt: async (siteId: string, signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listMachine({ ...base, signal, query: { siteId, limit: most, ...after(cursor) } })).data),
    agreementsOf: async (siteId: string, signal: AbortSignal) => (await sdk.listAgreement({ ...base, signal, query: { siteId } })).data,
    agreements: async (cursor: string | null, signal: AbortSignal) => (await sdk.listAgreement({ ...base, signal, query: { limit: most, ...after(cursor) } })).data,
    party: async (id: string, signal: AbortSignal | null = null) => (await sdk.readParty({ ...base, signal, path: { id } })).data,
    partyErasure: async (id: string, signal: AbortSignal) => (await sdk.erasureParty({ ...base, signal, path: { id } })).data,
    eraseParty: async (id: string, key: string) => (await sdk.eraseParty({ ...base, ...once(key), path: { id } })).data,
    versionsOf: async (agreementId: string, signal: AbortSignal) => (await sdk.versionsAgreement({ ...base, signal, path: { id: agreementId } })).data,
  };
}
