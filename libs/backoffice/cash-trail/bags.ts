import type { Bag, BagListQuery, Bags, CorrectBag, RecordBags, RecordBagStep } from '#contracts/cash-trail';
import { formatInstant } from '#contracts/format';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import { bagFinding, bagHolder, type BagFacts } from '#domain/cash-trail/bags';
import type { Caller } from '../caller';
import { lockCollections, markBagged, selectCollection } from '../collection/collection.sql';
import type { Backoffice } from '../dependencies';
import { momentOf } from '../moment';
import { perform } from '../perform';
import { fieldFailure, taken } from '../refusal';
import { onlyRow } from '../rows';
import { isDoneAlone } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { findBaggedMachines } from './bagged-machines';
import { insertBagCorrection, insertBags, insertBagStep, selectBags, selectBagsOfDays, selectRemovers, type BagRow } from './bag.sql';

/** What only the database can tell of bags, by the field that lists them. */
export const bagConstraints = {
  collection_bag_pkey: taken(['bags'], 'a bag with one of these ids'),
  collection_bag_seal_once: fieldFailure('already-exists', { path: ['bags'], code: 'seal-used', message: 'One of these seals closed another bag. A seal serves once.' }),
};

/** Notes the bags in which the cash of a visit left the site, with their seals. What nobody counted yet is counted by the bag from then on. */
export async function recordBags(deps: Backoffice, caller: Caller, command: { readonly collectionId: string } & RecordBags): Promise<Outcome<Bags>> {
  return perform<Bags>(
    deps,
    caller,
    'bag.handle',
    async ({ tx, now }) => {
      const [locked] = await lockCollections(tx, [command.collectionId]);
      const collection = locked === undefined ? null : await selectCollection(tx, command.collectionId);
      if (collection === null) return refused('not-found');
      if (collection.state === 'discarded') return refused('wrong-state', { detail: 'The collection was discarded: enter the visit anew, and its bags with it.' });
      if (collection.state === 'accepted') return refused('wrong-state', { detail: 'The collection is accepted: its bags were opened and counted.' });
      const { machineIdOf, wrong } = await findBaggedMachines(tx, command.bags.map(({ machineTag }) => ({ machineTag, removal: false })), { siteId: collection.site_id, localDate: collection.local_date });
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const bags = command.bags.map((bag) => ({ ...bag, id: bag.id ?? deps.newId() }));
      await insertBags(tx, bags.map(({ id, number, seal, machineTag }) => ({ id, number, seal, collectionId: collection.id, machineId: machineTag === null ? null : (machineIdOf(machineTag) ?? null), meteredMinor: null })), now);
      if (collection.state === 'open') await markBagged(tx, collection.id);
      return done({ items: (await selectBags(tx, bags.map(({ id }) => id))).map(toBag) });
    },
    { constraints: bagConstraints },
  );
}

/** Bags of the collections of a day, by site and number. */
export async function listBags(deps: Backoffice, caller: Caller, query: BagListQuery): Promise<Outcome<Bags>> {
  return perform(deps, caller, 'bag.read', async ({ tx }) => done({ items: (await selectBagsOfDays(tx, { from: query.day, to: query.day })).map(toBag) }));
}

/**
 * Notes that a bag arrived, or was opened, and the seal that was on it. Another seal is no reason to refuse: it is what is to be
 * known. Whoever took the bag out of the box does neither: the seal would be looked at by the one whom it is to bind.
 */
export async function recordBagStep(deps: Backoffice, caller: Caller, command: { readonly id: string } & RecordBagStep): Promise<Outcome<Bag>> {
  return perform<Bag>(
    deps,
    caller,
    'bag.handle',
    async ({ tx, now }) => {
      const [bag] = await selectBags(tx, [command.id]);
      if (bag === undefined) return refused('not-found');
      const moment = momentOf(command.happenedAt, { now, field: 'happenedAt' });
      if (!moment.ok) return moment;
      if (command.kind === 'opened' && bag.received_at === null) return refused('wrong-state', { detail: `Bag ${bag.number} was not received yet: note that first, with its seal.` });
      // What happens now is not held against the clock of a phone that runs fast.
      const early = command.happenedAt === undefined ? null : tooEarly(bag, { kind: command.kind, at: moment.value });
      if (early !== null) return early;
      if (bag.withdrawn) return refused('wrong-state', { detail: 'The collection of this bag was discarded: enter the visit anew, and its bags with it.' });
      const alone = await isDoneAlone(tx, { recordedBy: await selectRemovers(tx, bag.id), now, detail: `You noted or filled bag ${bag.number}, or collected there: somebody else receives and opens it.` });
      if (!alone.ok) return alone;
      const id = deps.newId();
      await insertBagStep(tx, { id, bagId: bag.id, kind: command.kind, seal: command.seal, happenedAt: moment.value, now });
      if (alone.value) await labelRelaxed(tx, { recordId: id, rule: 'second-person', kind: 'bag-step', now });
      return done(toBag(onlyRow(await selectBags(tx, [bag.id]))));
    },
    { constraints: { collection_bag_step_once: fieldFailure('already-exists', { path: ['kind'], code: 'taken', message: 'That is on record for this bag already.' }) } },
  );
}

/**
 * Puts right what of a bag was read wrong: its number and seal, or a seal that was found on it. What was entered stays legible.
 * Whoever entered it, or took the bag out of the boxes, does not do so: the seal is to bind them.
 */
export async function correctBag(deps: Backoffice, caller: Caller, command: { readonly bagId: string } & CorrectBag): Promise<Outcome<Bag>> {
  const { bagId, what, seal, reason } = command;
  return perform<Bag>(
    deps,
    caller,
    'bag.correct',
    async ({ tx, now }) => {
      const [bag] = await selectBags(tx, [bagId]);
      if (bag === undefined) return refused('not-found');
      if (bag.withdrawn) return refused('wrong-state', { detail: 'The collection of this bag was discarded: enter the visit anew, and its bags with it.' });
      const stands = { filled: bag.seal, received: bag.received_seal, opened: bag.opened_seal }[what];
      if (stands === null) return refused('wrong-state', { detail: `Bag ${bag.number} was not ${what} yet: note that first, with its seal.` });
      const number = what === 'filled' ? (command.number ?? bag.number) : null;
      if (stands === seal && (number === null || number === bag.number)) return refusedFields('invalid-command', [{ path: ['seal'], code: 'unchanged', message: 'That is what stands there already.' }]);
      const entered = { filled: bag.recorded_by, received: bag.received_by, opened: bag.opened_by }[what];
      const alone = await isDoneAlone(tx, { recordedBy: [...(entered === null ? [] : [entered]), ...(await selectRemovers(tx, bag.id))], now, detail: `You entered this of bag ${bag.number}, filled it, or collected there: somebody else corrects it.` });
      if (!alone.ok) return alone;
      const id = command.id ?? deps.newId();
      await insertBagCorrection(tx, { id, bagId: bag.id, what, number, seal, reason, now });
      if (alone.value) await labelRelaxed(tx, { recordId: id, rule: 'second-person', kind: 'bag', now });
      return done(toBag(onlyRow(await selectBags(tx, [bag.id]))));
    },
    { constraints: { collection_bag_correction_pkey: taken(['id'], 'a correction with this id'), collection_bag_seal_once: fieldFailure('already-exists', { path: ['seal'], code: 'seal-used', message: 'This seal closed another bag. A seal serves once.' }) } },
  );
}

/** A bag is filled, arrives, and is opened, in this order. */
function tooEarly(bag: BagRow, { kind, at }: { readonly kind: RecordBagStep['kind']; readonly at: Date }): Outcome<never> | null {
  const wrong = (message: string): Outcome<never> => refusedFields('invalid-command', [{ path: ['happenedAt'], code: 'too-early', message }]);
  if (at < bag.collected_at) return wrong(`Bag ${bag.number} was filled at ${formatInstant(bag.collected_at)}.`);
  return kind === 'opened' && bag.received_at !== null && at < bag.received_at ? wrong(`Bag ${bag.number} was received at ${formatInstant(bag.received_at)}, and is opened after that.`) : null;
}

export function toFacts(row: BagRow): BagFacts {
  return { bagId: row.id, sealPut: row.seal, sealReceived: row.received_seal, sealOpened: row.opened_seal };
}

export function toBag(row: BagRow): Bag {
  const finding = row.withdrawn ? null : bagFinding(toFacts(row));
  return {
    id: row.id,
    collectionId: row.collection_id,
    siteCode: row.site_code,
    number: row.number,
    seal: row.seal,
    received: stepOf({ seal: row.received_seal, happenedAt: row.received_at, recordedBy: row.received_by, alone: row.received_alone }),
    opened: stepOf({ seal: row.opened_seal, happenedAt: row.opened_at, recordedBy: row.opened_by, alone: row.opened_alone }),
    finding,
    holder: bagHolder(finding),
    withdrawn: row.withdrawn,
    corrections: correctionsOf(row),
  };
}

type StepRow = { readonly seal: string | null; readonly happenedAt: Date | null; readonly recordedBy: string | null; readonly alone: boolean };

function stepOf({ seal, happenedAt, recordedBy, alone }: StepRow): Bag['received'] {
  return seal === null || happenedAt === null || recordedBy === null ? null : { seal, happenedAt: formatInstant(happenedAt), recordedBy, withoutSecondPerson: alone };
}

/** Each correction with what stood there before it. */
function correctionsOf(row: BagRow): Bag['corrections'] {
  const stood = {
    filled: { number: row.first_number as string | null, seal: row.first_seal },
    received: { number: null as string | null, seal: row.first_received_seal ?? '' },
    opened: { number: null as string | null, seal: row.first_opened_seal ?? '' },
  };
  return row.corrections.map(({ id, what, number, seal, reason, recorded_at: recordedAt, recorded_by: recordedBy, made_alone: withoutSecondPerson }) => {
    const was = stood[what];
    stood[what] = { number, seal };
    return { id, what, was, number, seal, reason, recordedAt: formatInstant(new Date(recordedAt)), recordedBy, withoutSecondPerson };
  });
}
