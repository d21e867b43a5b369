import { formatInstant } from '#contracts/format';
import type { Openers, OpenersQuery } from '#contracts/key-question';
import type { KeyHolder, KeyPerson } from '#contracts/key-whereabouts';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Holder } from '#domain/keys/custody';
import { hadKeysToEveryLock, whoCouldOpen, type CopyStay, type FittedLock, type Keeper, type Loose, type Reason } from '#domain/keys/openers';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { openersCsv } from './openers-csv';
import { planOnce } from './plan-once.sql';
import { selectFittedLocks, selectKeepers, selectNamed, selectPlaced, selectStays, type KeeperRow, type LockRow, type NamedRow, type StayRow, type Window } from './openers.sql';

type Asked = OpenersQuery & { readonly id: string };

/** Who could open the cash box or the play area of a machine at a moment, or at any time of an interval, and why. */
export async function readOpeners(deps: Backoffice, caller: Caller, query: Asked): Promise<Outcome<Openers>> {
  return perform(deps, caller, 'key-reach.read', async ({ tx, now }) => {
    await planOnce(tx);
    const answer = await openersOf(tx, { machineId: query.id, opens: query.opens, ...windowOf(query, now) });
    return answer === null ? refused('not-found') : done(answer);
  });
}

export async function exportOpeners(deps: Backoffice, caller: Caller, query: Asked): Promise<Outcome<{ bytes: Buffer; fileName: string }>> {
  return perform(deps, caller, 'key-reach.read', async ({ tx, now }) => {
    await planOnce(tx);
    const answer = await openersOf(tx, { machineId: query.id, opens: query.opens, ...windowOf(query, now) });
    if (answer === null) return refused('not-found');
    return done({ bytes: Buffer.from(openersCsv(answer)), fileName: `who-could-open-${answer.machineTag.toLowerCase()}.csv` });
  });
}

/** Five statements, whatever the number of locks, copies and people; `null` for an unknown machine. */
export async function openersOf(tx: TenantTransaction, query: Window & { readonly machineId: string; readonly opens: Openers['opens'] }): Promise<Openers | null> {
  const placed = await selectPlaced(tx, query);
  const machineTag = placed[0]?.tag;
  if (machineTag === undefined) return null;
  const locks = await selectFittedLocks(tx, query);
  const stays = await selectStays(tx, { ...query, keyCodeIds: [...new Set(locks.map(({ key_code_id }) => key_code_id))] });
  const ids = (column: 'store_id' | 'place_id') => [...new Set(stays.flatMap((stay) => stay[column] ?? []))];
  const keptIn = { storeIds: ids('store_id'), placeIds: ids('place_id') };
  const keepers = await selectKeepers(tx, { ...query, holderIds: [...keptIn.storeIds, ...keptIn.placeIds] });
  const found = foundBy({ query, locks, stays, keepers });
  const named = await selectNamed(tx, { ...keptIn, personIds: [...new Set(found.reasons.map(({ personId }) => personId))] });
  const lookUp = lookUpIn({ locks, stays, holders: named.map(toHolder) });
  return {
    machineId: query.machineId,
    machineTag,
    opens: query.opens,
    from: formatInstant(query.from),
    before: formatInstant(query.before),
    knownAt: formatInstant(query.knownAt),
    sites: placed.flatMap((row) =>
      row.site_id === null ? [] : [{ siteId: row.site_id, siteCode: row.site_code, siteName: row.site_name, placedOn: row.placed_on, removedOn: row.removed_on }],
    ),
    locks: locks.map(toLock),
    outsideCopies: locks.some((lock) => lock.outside_copies),
    people: named.flatMap(toPerson).map((person) => {
      const own = found.reasons.filter(({ personId }) => personId === person.personId);
      const everyLock = hadKeysToEveryLock({ window: spanOf(query.from, query.before), locks: found.locks, reasons: own });
      return { person, everyLock, reasons: own.map((reason) => ({ via: reason.via, holder: lookUp.holder(reason.holder), ...lookUp.fitting(reason) })) };
    }),
    loose: found.loose.map((each) => ({ holder: each.holder && lookUp.holder(each.holder), ...lookUp.fitting(each) })),
  };
}

function foundBy(rows: { query: Window; locks: readonly LockRow[]; stays: readonly StayRow[]; keepers: readonly KeeperRow[] }) {
  const locks: FittedLock[] = rows.locks.map((lock) => ({ lockId: lock.lock_id, keyCodeId: lock.key_code_id, ...spanOf(lock.fitted_at, lock.removed_at) }));
  const stays: CopyStay[] = rows.stays.map((stay) => ({
    copyId: stay.key_copy_id,
    keyCodeId: stay.key_code_id,
    holder: holderOf(stay),
    ...spanOf(stay.held_from, stay.held_to),
  }));
  const keepers: Keeper[] = rows.keepers.map((keeper) => ({
    holder: { kind: keeper.as === 'custodian' ? 'store' : 'place', id: keeper.holder_id },
    personId: keeper.person_id,
    as: keeper.as,
    from: keeper.started_at?.getTime() ?? -Infinity,
    to: keeper.ended_at?.getTime() ?? null,
  }));
  return { locks, ...whoCouldOpen({ window: spanOf(rows.query.from, rows.query.before), locks, stays, keepers }) };
}

/** Names of what the answer of the domain refers to by id. */
function lookUpIn(rows: { locks: readonly LockRow[]; stays: readonly StayRow[]; holders: readonly KeyHolder[] }) {
  const locks = new Map(rows.locks.map((lock) => [lock.lock_id, lock]));
  const numbers = new Map(rows.stays.map((stay) => [stay.key_copy_id, stay.number]));
  const holders = new Map(rows.holders.map((holder) => [`${holder.kind} ${holder.id}`, holder]));
  return {
    holder: (holder: Holder) => present(holders.get(`${holder.kind} ${holder.id}`)),
    fitting: (each: Reason | Loose) => {
      const lock = present(locks.get(each.lockId));
      return {
        keyCopyId: each.copyId,
        number: present(numbers.get(each.copyId)),
        code: lock.code,
        lockId: each.lockId,
        place: lock.place,
        from: formatInstant(new Date(each.from)),
        to: each.to === null ? null : formatInstant(new Date(each.to)),
      };
    },
  };
}

function holderOf({ person_id, store_id, place_id }: StayRow): Holder | null {
  if (person_id !== null) return { kind: 'person', id: person_id };
  if (store_id !== null) return { kind: 'store', id: store_id };
  return place_id === null ? null : { kind: 'place', id: place_id };
}

function toHolder({ kind, id, code, name, siteId, siteCode }: NamedRow): KeyHolder {
  return { kind, id, code, name, siteId, siteCode };
}

function toPerson({ id, code, name, siteId, siteCode, employedBy }: NamedRow): KeyPerson[] {
  return employedBy === null ? [] : [{ personId: id, code, name, employedBy, siteId, siteCode }];
}

function toLock(row: LockRow): Openers['locks'][number] {
  return {
    lockId: row.lock_id,
    place: row.place,
    opens: row.opens,
    code: row.code,
    outsideCopies: row.outside_copies,
    fittedAt: formatInstant(row.fitted_at),
    removedAt: row.removed_at && formatInstant(row.removed_at),
  };
}

/** A moment is the millisecond that begins with it: instants of the books are no finer. */
function windowOf(query: OpenersQuery, now: Date): Window {
  const knownAt = query.knownAt === undefined ? now : new Date(query.knownAt);
  if (query.from === undefined) {
    const from = query.at === undefined ? now : new Date(query.at);
    return { from, before: new Date(from.getTime() + 1), knownAt };
  }
  return { from: new Date(query.from), before: query.before === undefined ? now : new Date(query.before), knownAt };
}

function spanOf(from: Date, to: Date | null): { from: number; to: number | null } {
  return { from: from.getTime(), to: to?.getTime() ?? null };
}

function present<Value>(value: Value | null | undefined): Value {
  if (value === null || value === undefined) throw new Error('an answer refers to what was not read');
  return value;
}
