import * as sdk from '../generated';
import type { Collection, CorrectCollectionData, CorrectFieldCountData, CorrectHandedData, CorrectSlipData, CountCollectionData, PaperVisitData, RecordScaleCheckData, SiteBoxes, TrackedBag } from '../generated';
import { once, type Base } from './client';

export type FieldCountCorrection = CorrectFieldCountData['body'];
export type CountCorrection = CorrectCollectionData['body'];
export type SlipCorrection = CorrectSlipData['body'];
export type HandedCorrection = CorrectHandedData['body'];

/** What the list is narrowed to. Days are those to which a collection is booked. */
export interface CollectionFilter {
  readonly state?: 'open' | 'counted' | 'accepted' | 'discarded';
  readonly siteId?: string;
  readonly from?: string;
  readonly before?: string;
}

export interface CountsBody {
  readonly counts: CountCollectionData['body']['counts'];
  /** Made before anything was weighed; null where nothing was. */
  readonly scaleCheck: (RecordScaleCheckData['body'] & { readonly id: string }) | null;
}

type Money = { amount: string; currency: string };
/** What was in the box of a machine as it left a site. */
export interface RemovalCount {
  readonly siteId: string;
  readonly happenedAt: string;
  readonly placementId: string;
  readonly coin: Money;
  readonly note: Money;
  /** What its meters imply, where the terms go by them and nobody records them. */
  readonly meteredAmount?: Money;
  /** Another day to which it is booked, and why. */
  readonly booked?: { readonly accountingDate: string; readonly accountingReason: string };
}

export type BagToCount = TrackedBag & { readonly machineTag: string | null };

/** A collection whose bags are counted: which boxes there are, and the bags with their seals. */
export interface ToCount {
  readonly collection: Collection;
  readonly boxes: SiteBoxes;
  readonly bags: readonly BagToCount[];
}

export function collectionsApi(base: Base) {
  return {
    collections: async (filter: CollectionFilter, cursor: string | null, signal: AbortSignal) =>
      (await sdk.listCollection({ ...base, signal, query: { ...filter, ...(cursor === null ? {} : { cursor }) } })).data,
    collection: async (id: string, signal: AbortSignal) => (await sdk.readCollection({ ...base, signal, path: { id } })).data,
    countRemoval: async ({ siteId, happenedAt, booked, ...count }: RemovalCount, key: string) => (await sdk.createCollection({ ...base, ...once(key), body: { siteId, happenedAt, ...booked, counts: [{ ...count, removal: true }] } })).data,
    enterMetered: async ({ id, amounts }: { id: string; amounts: { machineTag: string; amount: { amount: string; currency: string }; reason?: string }[] }, key: string) => (await sdk.meterCollection({ ...base, ...once(key), path: { id }, body: { amounts } })).data,
    uncountedBoxes: async (collectionId: string | null, signal: AbortSignal) => (await sdk.listUncountedBox({ ...base, signal, query: collectionId === null ? {} : { collectionId } })).data.items,
    countLate: async (id: string, body: { machineTag: string; coin: { amount: string; currency: string }; note: { amount: string; currency: string }; reason: string }, key: string) =>
      (await sdk.countLate({ ...base, ...once(key), path: { id }, body })).data,
    discardCollection: async ({ id, reason }: { id: string; reason: string }, key: string) => (await sdk.discardCollection({ ...base, ...once(key), path: { id }, body: { reason } })).data,
    correctCount: async (id: string, body: CountCorrection, key: string) => (await sdk.correctCollection({ ...base, ...once(key), path: { id }, body })).data,
    correctSlip: async (id: string, body: SlipCorrection, key: string) => (await sdk.correctSlip({ ...base, ...once(key), path: { id }, body })).data,
    correctHanded: async (id: string, body: HandedCorrection, key: string) => (await sdk.correctHanded({ ...base, ...once(key), path: { id }, body })).data,
    fieldCounts: async (id: string, signal: AbortSignal) => (await sdk.readFieldCount({ ...base, signal, path: { id } })).data,
    correctFieldCount: async (id: string, body: FieldCountCorrection, key: string) => (await sdk.correctFieldCount({ ...base, ...once(key), path: { id }, body })).data,
    siteBoxes: async (siteId: string, at: string | null, signal: AbortSignal) => (await sdk.boxesRound({ ...base, signal, path: { id: siteId }, query: at === null ? {} : { at } })).data,
    enterPaperVisit: async (body: PaperVisitData['body'], key: string) => (await sdk.paperVisit({ ...base, ...once(key), body })).data,
    toCount: async (id: string, signal: AbortSignal): Promise<ToCount> => {
      const collection = (await sdk.readCollection({ ...base, signal, path: { id } })).data;
      const [boxes, labels, tracked] = await Promise.all([
        sdk.boxesRound({ ...base, signal, path: { id: collection.siteId }, query: { at: collection.happenedAt } }),
        sdk.bagsVisit({ ...base, signal, path: { id } }),
        sdk.bagsCashTrail({ ...base, signal, query: { day: collection.localDate } }),
      ]);
      const tagOf = new Map(labels.data.items.map((label) => [label.id, label.machineTag]));
      const bags = tracked.data.items.filter(({ collectionId }) => collectionId === id).map((bag) => ({ ...bag, machineTag: tagOf.get(bag.id) ?? null }));
      return { collection, boxes: boxes.data, bags };
    },
    /** A bag that nobody noted at the site; `machineTag` null: it holds what came from several boxes. */
    addBag: async ({ collectionId, ...bag }: { collectionId: string; number: string; seal: string; machineTag: string | null }, key: string) => (await sdk.addBags({ ...base, ...once(key), path: { id: collectionId }, body: { bags: [bag] } })).data,
    /** The check of the scale first: counts by weight name it. Sent again, both are one. */
    countCollection: async (id: string, { counts, scaleCheck }: CountsBody, key: string) => {
      if (scaleCheck !== null) await sdk.recordScaleCheck({ ...base, ...once(`scale-${scaleCheck.id}`), body: scaleCheck });
      return (await sdk.countCollection({ ...base, ...once(key), path: { id }, body: { counts: [...counts], ...(scaleCheck === null ? {} : { scaleCheckId: scaleCheck.id }) } })).data;
    },
    acceptCollections: async (collectionIds: string[], key: string) => (await sdk.acceptMany({ ...base, ...once(key), body: { collectionIds } })).data,
  };
}
