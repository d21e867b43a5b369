import * as sdk from '../generated';
import { once, type Base } from './client';

/** What the list is narrowed to. Days are those to which a collection is booked. */
export interface CollectionFilter {
  readonly state?: 'open' | 'counted' | 'accepted';
  readonly siteId?: string;
  readonly from?: string;
  readonly before?: string;
}

export function collectionsApi(base: Base) {
  return {
    collections: async (filter: CollectionFilter, cursor: string | null, signal: AbortSignal) =>
      (await sdk.listCollection({ ...base, signal, query: { ...filter, ...(cursor === null ? {} : { cursor }) } })).data,
    acceptCollections: async (collectionIds: string[]) => (await sdk.acceptMany({ ...base, ...once(), body: { collectionIds } })).data,
  };
}
