import * as sdk from '../generated';
import type { Base } from './client';
import { fileOf } from './file-answer';

/** The longest page that a list gives. */
const most = 200;

/** The two clocks of a question; the present where one is left out. Instants, RFC 3339. */
export interface Clocks {
  readonly at?: string;
  readonly knownAt?: string;
}

export interface HoldingFilter extends Clocks {
  readonly personId?: string;
  readonly keyCodeId?: string;
  readonly heldAtSiteId?: string;
  readonly opensAtSiteId?: string;
}

/** Days of visits, the second one no longer among them. */
export interface KeyFindingsFilter {
  readonly from?: string;
  readonly before?: string;
  readonly siteId?: string;
  readonly personId?: string;
}

export interface OpenersAsked {
  readonly machineId: string;
  readonly opens: 'cash-box' | 'play-area';
  readonly at?: string;
  readonly knownAt?: string;
  readonly from?: string;
  readonly before?: string;
}

export function keysApi(base: Base) {
  const after = (cursor: string | null) => ({ limit: most, ...(cursor === null ? {} : { cursor }) });
  return {
    keyHoldings: async (filter: HoldingFilter, cursor: string | null, signal: AbortSignal) =>
      (await sdk.keyHoldings({ ...base, signal, query: { ...filter, limit: 50, ...(cursor === null ? {} : { cursor }) } })).data,
    keyHoldingsFile: async (filter: HoldingFilter) => fileOf(await sdk.exportKeyHoldings({ ...base, query: { ...filter }, parseAs: 'blob' }), 'keys.csv'),
    ownKeys: async (signal: AbortSignal) => (await sdk.ownKeys({ ...base, signal })).data,
    keysOfPerson: async (id: string, clocks: Clocks, signal: AbortSignal) => (await sdk.keysOfPerson({ ...base, signal, path: { id }, query: { ...clocks } })).data,
    keysOfPersonFile: async (id: string, clocks: Clocks) => fileOf(await sdk.exportKeysOfPerson({ ...base, path: { id }, query: { ...clocks }, parseAs: 'blob' }), 'keys.csv'),
    openersOfMachine: async ({ machineId, ...query }: OpenersAsked, signal: AbortSignal) => (await sdk.openersOfMachine({ ...base, signal, path: { id: machineId }, query })).data,
    openersFile: async ({ machineId, ...query }: OpenersAsked) => fileOf(await sdk.exportOpenersOfMachine({ ...base, path: { id: machineId }, query, parseAs: 'blob' }), 'openers.csv'),
    keyAttention: async (clocks: Clocks, signal: AbortSignal) => (await sdk.keyAttention({ ...base, signal, query: { ...clocks } })).data,
    keyTasks: async (signal: AbortSignal) => (await sdk.readKeyTask({ ...base, signal })).data,
    keyAttentionFile: async (clocks: Clocks) => fileOf(await sdk.exportKeyAttention({ ...base, query: { ...clocks }, parseAs: 'blob' }), 'keys.csv'),
    keyHistory: async (id: string, knownAt: string | undefined, signal: AbortSignal) =>
      (await sdk.keyHistory({ ...base, signal, path: { id }, query: knownAt === undefined ? {} : { knownAt } })).data,
    keyHistoryFile: async (id: string, knownAt: string | undefined) =>
      fileOf(await sdk.exportKeyHistory({ ...base, path: { id }, query: knownAt === undefined ? {} : { knownAt }, parseAs: 'blob' }), 'key.csv'),
    reachOfCopy: async (id: string, clocks: Clocks, signal: AbortSignal) => (await sdk.reachOfCopy({ ...base, signal, path: { id }, query: { ...clocks } })).data,
    reachOfCopyFile: async (id: string, clocks: Clocks) => fileOf(await sdk.exportReachOfCopy({ ...base, path: { id }, query: { ...clocks }, parseAs: 'blob' }), 'if-lost.csv'),
    collectionsWithoutKey: async (filter: KeyFindingsFilter, cursor: string | null, signal: AbortSignal) =>
      (await sdk.listCollectionKey({ ...base, signal, query: { ...filter, limit: 50, ...(cursor === null ? {} : { cursor }) } })).data,
    collectionsWithoutKeyFile: async (filter: KeyFindingsFilter) => fileOf(await sdk.exportKeyFindings({ ...base, query: { ...filter }, parseAs: 'blob' }), 'collections-without-key.csv'),
    people: async (cursor: string | null, signal: AbortSignal) => (await sdk.listPerson({ ...base, signal, query: after(cursor) })).data,
    keyCodes: async (cursor: string | null, signal: AbortSignal) => (await sdk.listKeyCode({ ...base, signal, query: after(cursor) })).data,
    machines: async (cursor: string | null, signal: AbortSignal) => (await sdk.listMachine({ ...base, signal, query: after(cursor) })).data,
  };
}
