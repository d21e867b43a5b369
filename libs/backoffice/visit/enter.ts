import { done, refusedFields, underField, type Outcome, type WrongField } from '#contracts/outcome';
import { toAmount } from '#contracts/money';
import type { Failure } from '#contracts/problem';
import type { Visit } from '#contracts/visit';
import { constraintViolationOf } from '#database/constraint';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { Caller } from '../caller';
import { insertBags } from '../cash-trail/bag.sql';
import { findBaggedMachines } from '../cash-trail/bagged-machines';
import { bagConstraints } from '../cash-trail/bags';
import { collectionConstraints, recordVisit } from '../collection/create';
import { meteredMissing, typedBesideMeters } from '../collection/box-contents';
import { selectAgreementOn, selectVisitedSite } from '../collection/directory.sql';
import { resolveEntries } from '../collection/resolve-entries';
import { insertFieldCounts } from '../field-count/field-count.sql';
import { fieldCountConstraints } from '../field-count/record';
import { checkMeters } from '../meter/check-meters';
import { lockMachines, selectMeters } from '../meter/meter.sql';
import { insertNotRead, type NewNotRead } from '../meter/not-read.sql';
import { insertReadings, type NewReading } from '../meter/reading.sql';
import { readingConstraints } from '../meter/reading-constraints';
import { isFittedAt } from '../meter/to-board';
import { otherCurrency } from '../refusal';
import { noteScaleCheck } from '../scale-check/scale-check';
import { insertSignatures } from './visit.sql';

/** Whose visit it is, and what entering it needs. */
export type Entering = { readonly caller: Caller; readonly now: Date; readonly newId: () => string; readonly collectionId: string; readonly collectedBy: string | null };

/** What only the database can tell, by the field of the visit. */
const visitConstraints: { readonly [constraint: string]: Failure } = {
  ...collectionConstraints,
  ...readingConstraints(['readings']),
  ...bagConstraints,
  ...fieldCountConstraints,
};

/** The same, where the visit is a field of what was sent. */
export function visitConstraintsUnder(field: string): { readonly [constraint: string]: Failure } {
  return Object.fromEntries(
    Object.entries(visitConstraints).map(([name, failure]) => {
      const outcome = underField(field, { ok: false, failure });
      return [name, outcome.ok ? failure : outcome.failure];
    }),
  );
}

/** Enters a visit with all that belongs to it: it becomes an open or counted collection. Refused, part of it may be written: undo it. */
export async function enterVisit(tx: TenantTransaction, visit: Visit, by: Entering): Promise<Outcome<string>> {
  const { caller, now, newId, collectionId, collectedBy } = by;
  const countedAt = countedAtOf(visit, now);
  const { siteId, happenedAt, boxesExchanged, counts, refunds, scaleCheckId } = visit;
  const handed = visit.cashHanded.map(({ signature, ...entry }) => ({ signature, entry: { ...entry, id: entry.id ?? newId() } }));
  const scale = visit.scaleCheck === undefined ? done(scaleCheckId) : await noteScaleCheck(tx, visit.scaleCheck, now);
  if (!scale.ok) return scale;
  // What was counted at the machines and goes into bags is counted once more in the room, whose figures settle.
  const isCountedInRoom = visit.bags.length > 0;
  const command = { id: collectionId, siteId, happenedAt, boxesExchanged, counts: isCountedInRoom ? [] : counts, refunds, scaleCheckId: scale.value, collectedBy, cashHanded: handed.map(({ entry }) => entry), bagged: isCountedInRoom };
  const made = await recordVisit(tx, command, { caller, now, newId, tries: null, countedAt, countedAtMachine: !isCountedInRoom });
  if (!made.ok) return made;
  const place = { siteId, localDate: made.value.localDate, at: made.value.happenedAt };
  const bags = await checkBags(tx, visit.bags, place);
  if (!bags.ok) return bags;
  await insertBags(tx, bags.value.map(({ meteredAmount, ...bag }) => ({ ...bag, id: bag.id ?? newId(), collectionId, meteredMinor: meteredAmount === undefined ? null : toAmount(meteredAmount).minor })), now);
  await insertSignatures(tx, handed.flatMap(({ entry, signature }) => (signature === undefined ? [] : [{ cashHandedId: entry.id, strokes: signature }])), now);
  const atMachine = isCountedInRoom && counts.length > 0 ? await countAtMachines(tx, { ...visit, scaleCheckId: scale.value }, { ...by, localDate: made.value.localDate, bags: bags.value }) : done(null);
  if (!atMachine.ok) return atMachine;
  const met = await metersOf(tx, visit, { at: made.value.happenedAt, newId });
  if (!met.ok) return met;
  const { readings, notRead } = met.value;
  if (readings.length > 0) await insertReadings(tx, readings, { occasion: 'collection', collectionId, at: made.value.happenedAt, readBy: collectedBy, now });
  await insertNotRead(tx, notRead, { occasion: 'collection', collectionId, at: made.value.happenedAt, now });
  return done(collectionId);
}

/** Not before the visit began, and not in the future. */
function countedAtOf({ happenedAt, countedAt = happenedAt }: Visit, now: Date): Date {
  const [began, ended] = [new Date(happenedAt), new Date(countedAt)];
  return ended <= began ? began : ended > now ? now : ended;
}

/** Notes what was counted at the machines of boxes that go to the counting room in bags: it finds the same, or what lacks is named. */
async function countAtMachines(tx: TenantTransaction, visit: Visit, { collectionId, collectedBy, localDate, bags, now, newId }: Entering & { readonly localDate: LocalDate; readonly bags: readonly Bag[] }): Promise<Outcome<null>> {
  const { siteId, counts, happenedAt, scaleCheckId } = visit;
  if (collectedBy === null) return refusedFields('invalid-command', [{ path: ['counts'], code: 'no-counter', message: 'Nobody is named who counted at the machines: the account belongs to no person.' }]);
  const site = await selectVisitedSite(tx, siteId);
  if (site === null) throw new Error(`the visit to ${siteId} was entered without a site`);
  const at = new Date(happenedAt);
  const entries = await resolveEntries(tx, { counts, refunds: [], cashHanded: [], scaleCheckId }, { collectionId, site, happenedAt: at, localDate, accountingDate: localDate, now, countedAt: countedAtOf(visit, now), atMachine: true, newId });
  if (!entries.ok) return entries;
  const unbagged = entries.value.counts.flatMap(({ machineId }, index) => {
    if (bags.some((bag) => bag.machineTag === null || bag.machineId === machineId)) return [];
    return [{ path: ['counts', index, counts[index]?.placementId === undefined ? 'machineTag' : 'placementId'], code: 'in-no-bag', message: 'This box was counted at the machine, other boxes go to the counting room in bags, and its cash is in none of them.' }];
  });
  if (unbagged.length > 0) return refusedFields('invalid-command', unbagged);
  await insertFieldCounts(tx, entries.value.counts, { countedBy: collectedBy, now });
  return done(null);
}

/** Thrown so that what was written under a savepoint is undone; it never leaves this file. */
class Undone extends Error {
  constructor(readonly failure: Failure) {
    super(failure.code);
  }
}

/** Enters a visit or leaves no trace of it, and says why. The transaction goes on either way. */
export async function tryToEnter(tx: TenantTransaction, visit: Visit, by: Entering): Promise<Outcome<string>> {
  try {
    const collectionId = await tx.underSavepoint(async () => {
      const outcome = await enterVisit(tx, visit, by);
      if (!outcome.ok) throw new Undone(outcome.failure);
      return outcome.value;
    });
    return done(collectionId);
  } catch (error) {
    if (error instanceof Undone) return { ok: false, failure: error.failure };
    const failure = visitConstraints[constraintViolationOf(error)?.constraint ?? ''];
    if (failure === undefined) throw error;
    return { ok: false, failure };
  }
}

type Bag = Visit['bags'][number] & { readonly machineId: string | null };

async function checkBags(tx: TenantTransaction, bags: Visit['bags'], place: { readonly siteId: string; readonly localDate: LocalDate; readonly at: Date }): Promise<Outcome<Bag[]>> {
  if (bags.length === 0) return done([]);
  const { machineIdOf, wrong } = await findBaggedMachines(tx, bags, place);
  const all = [...(await wrongMetered(tx, bags, { ...place, machineIdOf })), ...wrong];
  return all.length > 0 ? refusedFields('invalid-command', all) : done(bags.map((bag) => ({ ...bag, machineId: bag.machineTag === null ? null : (machineIdOf(bag.machineTag) ?? null) })));
}

type MeteredPlace = { readonly siteId: string; readonly localDate: LocalDate; readonly at: Date; readonly machineIdOf: (tag: string) => string | undefined };

/** Terms that go by the meters need what these imply while somebody stands before them: who opens the bag must not see it. */
async function wrongMetered(tx: TenantTransaction, bags: Visit['bags'], { siteId, localDate, at, machineIdOf }: MeteredPlace): Promise<WrongField[]> {
  const [site, agreement] = [await selectVisitedSite(tx, siteId), await selectAgreementOn(tx, { siteId, day: localDate })];
  if (site === null || agreement === null) throw new Error(`the visit to ${siteId} was entered without a site or an agreement`);
  const machineIds = [...new Set(bags.flatMap(({ machineTag }) => (machineTag === null ? [] : (machineIdOf(machineTag) ?? []))))];
  const recorded = new Set((await selectMeters(tx, machineIds)).filter((meter) => isFittedAt(meter, at)).map((meter) => meter.machine_id));
  return bags.flatMap(({ machineTag, meteredAmount }, index) => {
    const machineId = machineTag === null ? undefined : machineIdOf(machineTag);
    if (machineId === undefined) return [];
    const path = ['bags', index];
    if (recorded.has(machineId)) return typedBesideMeters({ meteredAmount }, path);
    if (meteredAmount === undefined) return bags.some((other) => other.machineTag === machineTag && other.meteredAmount !== undefined) ? [] : meteredMissing(null, path, agreement);
    return meteredAmount.currency === site.currency ? [] : [otherCurrency([...path, 'meteredAmount', 'currency'], `Site ${site.code} is kept in`, site.currency)];
  });
}

/**
 * A phone may be without a connection, and its owner far from the machine when the reading arrives: one that looks wrong is
 * taken as it was read. What such a reading means is judged beside the others, and none of it becomes revenue unseen.
 */
async function metersOf(tx: TenantTransaction, { readings: entries, unread }: Visit, { at, newId }: { readonly at: Date; readonly newId: () => string }): Promise<Outcome<{ readings: NewReading[]; notRead: NewNotRead[] }>> {
  const machineIds = [...new Set([...entries, ...unread].map(({ machineId }) => machineId))];
  if (machineIds.length === 0) return done({ readings: [], notRead: [] });
  await lockMachines(tx, machineIds);
  const meters = await selectMeters(tx, machineIds);
  const entered = {
    readings: entries.map(({ meterId, value }, index) => ({ meterId, value, readAgain: true, path: ['readings', index] })),
    unread: unread.map((meter, index) => ({ ...meter, path: ['unread', index] })),
  };
  const { readings, notRead, wrong } = await checkMeters(tx, entered, { meters, at, occasion: 'collection', allAt: null, newId });
  if (wrong.length > 0) return refusedFields('invalid-command', wrong);
  // Nobody looked a second time, and the reading does not say so.
  return done({ readings: readings.map((each) => ({ ...each, readAgain: false })), notRead });
}
