import { openDB, type DBSchema, type IDBPDatabase } from 'idb';
import type { Account, CoinSet, OwnStopsResponse, PersonKeys, Visit } from '../generated';
import type { BoxDraft } from './box-draft';
import type { Draft, Stop } from './draft';
import type { ScaleDraft } from './scale-draft';

/** Whose things they are: another person's, or another operator's, on the same phone are neither shown nor sent. */
export interface Holder {
  readonly operatorId: string;
  readonly accountId: string;
}

/** What a phone knows without a connection. Nothing that was expected, and nothing that was found before, is ever among it. */
export interface Kept {
  readonly stops: OwnStopsResponse;
  readonly keys: readonly Pick<PersonKeys['copies'][number], 'keyCopyId' | 'number' | 'code'>[];
  readonly coinSets: readonly CoinSet[];
  /** When it was read, RFC 3339. */
  readonly readAt: string;
}

export interface KeptDevice {
  readonly id: string;
  readonly secret: string;
  readonly nextSequence: number;
  /** The office revoked it: nothing that it sends is booked by itself. */
  readonly isRevoked?: true;
}

/** A visit that is being entered (`visit` null), or waits to be sent. */
export interface KeptVisit extends Holder {
  readonly id: string;
  readonly stop: Stop;
  readonly draft: Draft;
  readonly visit: Visit | null;
  /** When it was finished; visits are sent in this order. */
  readonly finishedAt: string | null;
  /** Given at the first attempt to send it. From then on it may have arrived, and does not change. */
  readonly sequence: number | null;
}

/** A count of the counting room that is being typed and not handed in. What was found is kept, and nothing that was expected. */
export interface KeptCount extends Holder {
  readonly collectionId: string;
  readonly typed: Readonly<Record<string, BoxDraft>>;
  readonly scale: ScaleDraft | null;
  /** When it was typed last, RFC 3339. */
  readonly keptAt: string;
}

interface Contents extends DBSchema {
  kept: { key: string; value: Kept };
  devices: { key: string; value: KeptDevice };
  visits: { key: string; value: KeptVisit };
  account: { key: 'account'; value: Account };
  scales: { key: string; value: ScaleDraft };
  counts: { key: string; value: KeptCount };
}

let opened: Promise<IDBPDatabase<Contents>> | null = null;

function database(): Promise<IDBPDatabase<Contents>> {
  opened ??= openDB<Contents>('latchledger', 3, {
    upgrade: (db, before) => {
      if (before < 1) {
        db.createObjectStore('kept');
        db.createObjectStore('devices');
        db.createObjectStore('visits', { keyPath: 'id' });
        db.createObjectStore('account');
      }
      if (before < 2) db.createObjectStore('scales');
      db.createObjectStore('counts');
    },
    // Another tab has a newer version of the page and waits for this one to let go; what is asked next opens it anew.
    blocking: () => {
      void opened?.then((db) => db.close());
      opened = null;
    },
  });
  return opened;
}

const keyOf = ({ operatorId, accountId }: Holder): string => `${operatorId} ${accountId}`;

export async function keep(holder: Holder, kept: Kept, account: Account): Promise<void> {
  const db = await database();
  await db.put('kept', kept, keyOf(holder));
  // The proof that a request comes from this page is asked for anew before anything is sent.
  await db.put('account', { ...account, csrf: '' }, 'account');
}

export async function keptFor(holder: Holder): Promise<Kept | null> {
  return (await (await database()).get('kept', keyOf(holder))) ?? null;
}

/** Who used this phone last, for the page to open without a connection. */
export async function keptAccount(): Promise<Account | null> {
  return (await (await database()).get('account', 'account')) ?? null;
}

export async function deviceOf(holder: Holder): Promise<KeptDevice | null> {
  return (await (await database()).get('devices', keyOf(holder))) ?? null;
}

export async function keepDevice(holder: Holder, device: KeptDevice): Promise<void> {
  await (await database()).put('devices', device, keyOf(holder));
}

/** Remembers that the office revoked the device, until another one takes its place. */
export async function markRevoked(holder: Holder): Promise<void> {
  const device = await deviceOf(holder);
  if (device !== null) await keepDevice(holder, { ...device, isRevoked: true });
}

/** One's own visits on this phone: those that wait first, in the order in which they were finished. */
export async function visitsOf({ operatorId, accountId }: Holder): Promise<readonly KeptVisit[]> {
  const all = await (await database()).getAll('visits');
  return all.filter((visit) => visit.operatorId === operatorId && visit.accountId === accountId).sort((left, right) => ((left.finishedAt ?? '~') < (right.finishedAt ?? '~') ? -1 : 1));
}

export async function putVisit(visit: KeptVisit): Promise<void> {
  await (await database()).put('visits', visit);
}

export async function removeVisit(id: string): Promise<void> {
  await (await database()).delete('visits', id);
}

/** The check of the scale that the latest visit was weighed on. */
export async function latestScale(holder: Holder): Promise<ScaleDraft | null> {
  return (await (await database()).get('scales', keyOf(holder))) ?? null;
}

export async function keepScale(holder: Holder, scale: ScaleDraft): Promise<void> {
  await (await database()).put('scales', scale, keyOf(holder));
}

const countKey = (holder: Holder, collectionId: string): string => `${keyOf(holder)} ${collectionId}`;

/** What somebody typed of a count before the page was left, if they did; nobody else's. */
export async function keptCount(holder: Holder, collectionId: string): Promise<KeptCount | null> {
  return (await (await database()).get('counts', countKey(holder, collectionId))) ?? null;
}

export async function keepCount(count: KeptCount): Promise<void> {
  await (await database()).put('counts', count, countKey(count, count.collectionId));
}

export async function forgetCount(holder: Holder, collectionId: string): Promise<void> {
  await (await database()).delete('counts', countKey(holder, collectionId));
}

/** Counts that somebody began and did not hand in. */
export async function countsOf({ operatorId, accountId }: Holder): Promise<readonly KeptCount[]> {
  return (await (await database()).getAll('counts')).filter((count) => count.operatorId === operatorId && count.accountId === accountId);
}

/** Gives a visit its number, in one step with the device that counts: a page that closes in between repeats none. */
export async function number(holder: Holder, visitId: string): Promise<KeptVisit | null> {
  const transaction = (await database()).transaction(['visits', 'devices'], 'readwrite');
  const visit = await transaction.objectStore('visits').get(visitId);
  const device = await transaction.objectStore('devices').get(keyOf(holder));
  if (visit === undefined || device === undefined) return null;
  const numbered = { ...visit, sequence: visit.sequence ?? device.nextSequence };
  if (visit.sequence === null) {
    await transaction.objectStore('visits').put(numbered);
    await transaction.objectStore('devices').put({ ...device, nextSequence: device.nextSequence + 1 }, keyOf(holder));
  }
  await transaction.done;
  return numbered;
}

/** Another device begins to count anew, and what waits is numbered by it. */
export async function replaceDevice(holder: Holder, device: KeptDevice): Promise<void> {
  const transaction = (await database()).transaction(['visits', 'devices'], 'readwrite');
  const visits = await transaction.objectStore('visits').getAll();
  for (const visit of visits) {
    if (visit.operatorId === holder.operatorId && visit.accountId === holder.accountId) await transaction.objectStore('visits').put({ ...visit, sequence: null });
  }
  await transaction.objectStore('devices').put(device, keyOf(holder));
  await transaction.done;
}

/** Forgets whoever signs out, and the counts that they began. Unsent visits stay, under lock of the account, with the device that sends them. */
export async function forget(holder: Holder): Promise<void> {
  const db = await database();
  await db.delete('kept', keyOf(holder));
  await db.delete('scales', keyOf(holder));
  await db.delete('account', 'account');
  for (const { collectionId } of await countsOf(holder)) await forgetCount(holder, collectionId);
  if ((await visitsOf(holder)).length === 0) await db.delete('devices', keyOf(holder));
}
