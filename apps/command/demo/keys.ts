import type { Caller } from '#backoffice/caller';
import { acknowledgeCustody, signCustody } from '#backoffice/custody/acknowledge';
import { confirmByCustodyLink, createCustodyLink } from '#backoffice/custody/link';
import { makeKeyCopies } from '#backoffice/custody/make-copies';
import { recordCustody } from '#backoffice/custody/record';
import type { Backoffice } from '#backoffice/dependencies';
import { createKeyCode } from '#backoffice/key-code/create';
import { closeKeyInventory, countKeys, openKeyInventory } from '#backoffice/key-inventory/count';
import { createKeyPlace } from '#backoffice/key-place/create';
import { changeKeyRing } from '#backoffice/key-ring/change';
import { createKeyRing } from '#backoffice/key-ring/create';
import { appointCustodian } from '#backoffice/key-store/appoint-custodian';
import { createKeyStore } from '#backoffice/key-store/create';
import { fitLocks } from '#backoffice/machine-lock/fit';
import type { RecordCustody } from '#contracts/custody';
import type { LocalDate } from '#domain/calendar/local-date';
import { expectDone, inParallel } from './expect-done';
import type { DemoIds } from './set-up';
import { visitor } from './people';
import type { DemoOperator, DemoPerson, DemoSite } from './world';

/** The keys of the demo as they were put into the books and given out, all on one day. */

/** What they are entered with. */
export type KeyBooks = {
  readonly deps: Backoffice;
  readonly operator: DemoOperator;
  readonly ids: DemoIds;
  readonly owner: Caller;
  readonly custodian: Caller;
  /** Who of the people has an account, by the person's id: they confirm signed in, the others by a link or a signature. */
  readonly accounts: ReadonlyMap<string, Caller>;
};

export type DemoCopy = { readonly id: string; readonly number: string };
type Cut = { readonly id: string; readonly code: string };

/** Where everything went. */
export type DemoKeys = {
  readonly safeId: string;
  readonly vanId: string;
  /** Copies by where they went: the code of a person or site, or `SAFE`, `VAN`. */
  readonly at: ReadonlyMap<string, readonly DemoCopy[]>;
  readonly places: ReadonlyMap<string, string>;
};

const AT_ONCE = 4;
/** Keyed alike: two cuts of cash-box keys and three of access keys, the last of few sites. */
const SITES_OF_THE_LAST_CUT = 5;
const SPARE = 3;

/** Which cut of each class the locks of a site take. */
function cutsOf(operator: DemoOperator, site: DemoSite): { readonly box: string; readonly door: string } {
  const index = operator.sites.indexOf(site);
  const [half, fromEnd] = [Math.ceil(operator.sites.length / 2), operator.sites.length - index];
  return { box: index < half ? 'BOX-1' : 'BOX-2', door: fromEnd <= SITES_OF_THE_LAST_CUT ? 'DOOR-3' : index < half ? 'DOOR-1' : 'DOOR-2' };
}

/** At a few sites the manager has a key of their own beside the one on the hook. */
const hasOwnKey = (operator: DemoOperator, site: DemoSite): boolean => operator.sites.indexOf(site) % 8 === 0;

/**
 * Locks, copies and stores, a first count while every key lies there, and who was given what: each collector a ring, each
 * site that already has one a key on a hook.
 */
export async function handOutKeys(books: KeyBooks, on: LocalDate): Promise<DemoKeys> {
  const { deps, owner, custodian, operator, ids } = books;
  const cuts = new Map<string, Cut>();
  for (const code of ['BOX-1', 'BOX-2', 'DOOR-1', 'DOOR-2', 'DOOR-3']) {
    // Came with the cabinets, alike in all that the maker sold.
    const outsideCopies = code === 'DOOR-2';
    cuts.set(code, expectDone(await createKeyCode(deps, custodian, { code, class: code.startsWith('BOX') ? 'cash-box' : 'access', outsideCopies }), `record ${code}`));
  }
  await fitAllLocks(books, cuts, on);
  const keeperId = ids.people.get(operator.custodian.code) ?? '';
  const store = async (code: string, what: { name: string; kind: 'safe' | 'van' }): Promise<string> => {
    const { id } = expectDone(await createKeyStore(deps, custodian, { code, ...what }), `record ${code}`);
    expectDone(await appointCustodian(deps, owner, { id, personId: keeperId }), `appoint for ${code}`);
    return id;
  };
  const [safeId, vanId] = [await store('SAFE', { name: operator.words.safe, kind: 'safe' }), await store('VAN', { name: operator.words.van, kind: 'van' })];
  const at = new Map<string, DemoCopy[]>();
  const places = new Map<string, string>();
  const { collectors } = operator;
  const sites = operator.sites.filter((site) => site.hasKey);
  await makeFor(books, { cuts, storeId: safeId, at, wanted: [
    ...(['BOX-1', 'BOX-2'] as const).flatMap((code) => collectors.map((collector) => ({ cut: code, for: collector.code }))),
    ...sites.flatMap((site) => [{ cut: cutsOf(operator, site).door, for: site.code }, ...(hasOwnKey(operator, site) ? [{ cut: cutsOf(operator, site).door, for: site.manager.code }] : [])]),
    ...[...cuts.keys()].flatMap((cut) => Array.from({ length: SPARE }, () => ({ cut, for: 'SAFE' }))),
  ] });
  await makeFor(books, { cuts, storeId: vanId, at, wanted: ['DOOR-1', 'DOOR-2'].map((cut) => ({ cut, for: 'VAN' })) });
  const keys = { safeId, vanId, at, places };
  await countInStores(books, keys);
  await inParallel(collectors, AT_ONCE, (collector) => ringFor(books, keys, collector));
  await inParallel(sites, AT_ONCE, async (site) => {
    places.set(site.code, await keysForSite(books, keys, site));
  });
  return keys;
}

async function fitAllLocks({ deps, custodian, operator, ids }: KeyBooks, cuts: ReadonlyMap<string, Cut>, on: LocalDate): Promise<void> {
  const fittedAt = deps.clock.now().toISOString();
  const locks = operator.sites.flatMap((site) =>
    site.machines.flatMap(({ tag, move }) => {
      const standsAt = move !== null && move.on <= on ? (operator.sites.find(({ code }) => code === move.toSiteCode) ?? site) : site;
      const { box, door } = cutsOf(operator, standsAt);
      const machineId = ids.machines.get(tag) ?? '';
      return [
        { machineId, place: 'front-door', opens: 'play-area' as const, keyCodeId: cuts.get(door)?.id ?? '', fittedAt },
        { machineId, place: 'cash-door', opens: 'cash-box' as const, keyCodeId: cuts.get(box)?.id ?? '', fittedAt },
      ];
    }),
  );
  expectDone(await fitLocks(deps, custodian, { locks }), 'record the locks');
}

/** Counted by the owner, who keeps none of them. */
async function countInStores({ deps, owner, operator }: KeyBooks, { at, safeId, vanId }: DemoKeys): Promise<void> {
  const { id } = expectDone(await openKeyInventory(deps, owner, { cause: 'schedule', reason: operator.words.why.count }), 'open a count');
  const inVan = at.get('VAN') ?? [];
  const inSafe = [...at.values()].flat().filter((copy) => !inVan.includes(copy));
  for (const [storeId, copies] of [[safeId, inSafe], [vanId, inVan]] as const) {
    const seen = { id, keyCopyIds: copies.map((copy) => copy.id), at: { kind: 'store' as const, id: storeId } };
    expectDone(await countKeys(deps, owner, seen), 'count the keys');
  }
  expectDone(await closeKeyInventory(deps, owner, { id, reason: operator.words.why.counted }), 'close the count');
}

type Wanted = { readonly cut: string; readonly for: string };

async function makeFor({ deps, custodian, operator }: KeyBooks, of: { cuts: ReadonlyMap<string, Cut>; storeId: string; at: Map<string, DemoCopy[]>; wanted: readonly Wanted[] }): Promise<void> {
  for (const [code, cut] of of.cuts) {
    const wanted = of.wanted.filter((each) => each.cut === code);
    if (wanted.length === 0) continue;
    const numbered = wanted.map((each, index) => ({ for: each.for, number: `${code.replace('BOX-', 'B').replace('DOOR-', 'D')}${each.for === 'VAN' ? 'V' : ''}-${String(index + 1).padStart(2, '0')}` }));
    const made = expectDone(
      await makeKeyCopies(deps, custodian, { keyCodeId: cut.id, numbers: numbered.map(({ number }) => number), storeId: of.storeId, reason: operator.words.why.made }),
      `make copies of ${code}`,
    );
    for (const { number, for: whose } of numbered) {
      const id = made.items.find((copy) => copy.number === number)?.id ?? '';
      of.at.set(whose, [...(of.at.get(whose) ?? []), { id, number }]);
    }
  }
}

async function ringFor(books: KeyBooks, keys: DemoKeys, collector: DemoPerson): Promise<void> {
  const { deps, custodian, operator, ids } = books;
  const ring = expectDone(await createKeyRing(deps, custodian, { code: `RING-${collector.code}` }), 'record a ring');
  const putOn = (keys.at.get(collector.code) ?? []).map(({ id }) => id);
  expectDone(await changeKeyRing(deps, custodian, { id: ring.id, putOn, takeOff: [] }), 'put copies on a ring');
  const to = { kind: 'person', id: ids.people.get(collector.code) ?? '' } as const;
  await give(books, { keyRingId: ring.id, from: { kind: 'store', id: keys.safeId }, to, reason: operator.words.why.ring }, collector);
}

async function keysForSite(books: KeyBooks, keys: DemoKeys, site: DemoSite): Promise<string> {
  const { deps, custodian, operator, ids } = books;
  const { manager } = site;
  const managerId = ids.people.get(manager.code) ?? '';
  const place = { siteId: ids.sites.get(site.code) ?? '', code: `HOOK-${site.code.slice(2)}`, name: operator.words.hook, responsiblePersonId: managerId };
  const { id } = expectDone(await createKeyPlace(deps, custodian, place), `record the hook of ${site.code}`);
  const from = { kind: 'store', id: keys.safeId } as const;
  const copies = (whose: string): string[] => (keys.at.get(whose) ?? []).map((copy) => copy.id);
  await give(books, { keyCopyIds: copies(site.code), from, to: { kind: 'place', id }, reason: operator.words.why.smallFaults }, manager);
  if (hasOwnKey(operator, site)) await give(books, { keyCopyIds: copies(manager.code), from, to: { kind: 'person', id: managerId }, reason: operator.words.why.house }, manager);
  return id;
}

/** Issues copies and has the receiver confirm: signed in, by a link, or as somebody of a site by their signature. */
export async function give(books: KeyBooks, what: Omit<RecordCustody, 'kind'>, receiver: DemoPerson): Promise<void> {
  const { deps, custodian, accounts, operator, ids } = books;
  const event = expectDone(await recordCustody(deps, custodian, { kind: 'issued', ...what }), `issue keys to ${receiver.name}`);
  const id = event.id;
  const account = accounts.get(ids.people.get(receiver.code) ?? '');
  if (account !== undefined) expectDone(await acknowledgeCustody(deps, account, { id, side: 'receiver' }), `have ${receiver.name} confirm`);
  else if (operator.collectors.includes(receiver)) {
    const link = expectDone(await createCustodyLink(deps, custodian, { eventId: id, side: 'receiver' }), `make a link for ${receiver.name}`);
    expectDone(await confirmByCustodyLink(deps, visitor, { secret: link.address?.split('#')[1] ?? '' }), `have ${receiver.name} confirm`);
  } else expectDone(await signCustody(deps, custodian, { id, side: 'receiver', name: receiver.name, signature: { kind: 'typed', text: receiver.name } }), `have ${receiver.name} sign`);
}
