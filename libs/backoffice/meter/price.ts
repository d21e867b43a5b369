import { formatInstant } from '#contracts/format';
import type { CorrectPrice, MeterPrice, MeterPrices } from '#contracts/meter';
import { moneyOf, toAmount } from '#contracts/money';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { momentOf } from '../moment';
import { perform } from '../perform';
import { isDoneAlone } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { otherCurrency } from '../refusal';
import { groupBy } from '../settlement/inputs/group-by';
import { followingMeters } from '../variance/follow-meters';
import { insertUnitValues, isMachine, lockMachines, selectMeters } from './meter.sql';
import { insertPriceCorrections, selectPrices, type NewPriceCorrection, type PriceRow } from './price.sql';
import { readingConstraints } from './reading-constraints';
import { insertCorrection, insertReadings, selectReadAt, selectReadBetween, selectReadOfPrice, selectTakenBack, type ReadOfPrice } from './reading.sql';
import { isFittedAt } from './to-board';
import { selectDoubtful } from './write-readings';

/** An entry with what was said of it, the latest first. */
type Entry = readonly [PriceRow, ...PriceRow[]];

/** What the units of a machine's meters were worth and are, board by board, each with what was corrected. */
export function listPrices(deps: Backoffice, caller: Caller, query: { readonly machineId: string }): Promise<Outcome<MeterPrices>> {
  return perform<MeterPrices>(deps, caller, 'meter.read', async ({ tx }) => ((await isMachine(tx, query.machineId)) ? done(await shownPrices(tx, query.machineId)) : refused('not-found')));
}

/**
 * Corrects what was entered of a change of price: how much, when, or that there was none. The first entry stays legible, and somebody else than who
 * entered it does this. Counts are compared again, and a settlement that goes by the meters and has its number gets the difference in the next one. What was read at the change
 * goes with it to the other moment.
 */
export function correctPrice(deps: Backoffice, caller: Caller, command: { readonly machineId: string } & CorrectPrice): Promise<Outcome<MeterPrices>> {
  const { machineId, withdrawn, reason } = command;
  return perform<MeterPrices>(
    deps,
    caller,
    'meter-price.correct',
    async ({ tx, now }) => {
      if (!(await lockMachines(tx, [machineId])).has(machineId)) return refused('not-found');
      const changedAt = new Date(command.changedAt);
      const all = entriesOf(await selectPrices(tx, machineId));
      const entries = all.filter(([{ effective_at: at, withdrawn: isGone }]) => !isGone && at.getTime() === changedAt.getTime());
      const moved = command.at === undefined ? done(changedAt) : momentOf(command.at, { now, field: 'at' });
      if (!moved.ok) return moved;
      const at = moved.value;
      const wrong = wrongCorrection(command, { entries, all, changedAt, at });
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const alone = await isDoneAlone(tx, { recordedBy: entries.map(([{ recorded_by: by }]) => by), now, detail: 'The price is your own entry.' });
      if (!alone.ok) return alone;
      const isMoved = at.getTime() !== changedAt.getTime();
      const corrections = entries.flatMap(([standing]): NewPriceCorrection[] => {
        const other = command.unitValues.find(({ meterId }) => meterId === standing.meter_id);
        if (other === undefined && !isMoved && !withdrawn) return [];
        const minor = other === undefined ? standing.unit_value_minor : toAmount(other.unitValue).minor;
        return [{ id: deps.newId(), meterId: standing.meter_id, firstAt: standing.first_at, entry: standing.entry, round: standing.round + 1, at, minor, withdrawn }];
      });
      return followingMeters(tx, { machineId, from: at < changedAt ? at : changedAt, sourceId: corrections[0]?.id, now, newId: deps.newId }, async () => {
        await insertPriceCorrections(tx, corrections, { reason, now });
        if (alone.value) for (const { id } of corrections) await labelRelaxed(tx, { recordId: id, rule: 'second-person', kind: 'meter-price', now });
        const read = isMoved ? await moveReadings(tx, { machineId, from: changedAt, to: at, reason, now, newId: deps.newId }) : done(null);
        return read.ok ? done(await shownPrices(tx, machineId)) : read;
      });
    },
    { constraints: { ...readingConstraints(['at']), meter_value_correction_round: { code: 'changed-meanwhile' } } },
  );
}

function wrongCorrection(command: CorrectPrice, { entries, all, changedAt, at }: { readonly entries: readonly Entry[]; readonly all: readonly Entry[]; readonly changedAt: Date; readonly at: Date }): WrongField[] {
  if (entries.length === 0) return [{ path: ['changedAt'], code: 'unknown', message: 'No price changed at this moment.' }];
  const isMoved = at.getTime() !== changedAt.getTime();
  const standing = entries.map(([row]) => row);
  const isFirst = standing.some(isFirstOf);
  const fixed = (path: string): WrongField => ({ path: [path], code: 'first-value', message: 'What a unit was worth as the board was fitted holds from then on: only how much it was is corrected.' });
  if (isFirst && (isMoved || command.withdrawn)) return [fixed(isMoved ? 'at' : 'withdrawn')];
  const changes = command.unitValues.some(({ meterId, unitValue }) => standing.some((row) => row.meter_id === meterId && row.unit_value_minor !== toAmount(unitValue).minor));
  if (!isMoved && !command.withdrawn && !changes && command.unitValues.every(({ meterId }) => standing.some((row) => row.meter_id === meterId))) return [{ path: command.at === undefined ? ['unitValues'] : ['at'], code: 'nothing-changed', message: 'This is what stands already.' }];
  const ofMoment = !isMoved
    ? []
    : standing.flatMap((row): WrongField[] => {
        if (row.fitted_at >= at || !isFittedAt(row, at)) return [{ path: ['at'], code: 'not-in-machine', message: 'The board was not in the machine at this moment.' }];
        const isTaken = all.some(([other]) => other.meter_id === row.meter_id && !other.withdrawn && other.effective_at.getTime() === at.getTime());
        return isTaken ? [{ path: ['at'], code: 'taken', message: 'Another change of this price is recorded at this moment.' }] : [];
      });
  const ofValues = command.unitValues.flatMap(({ meterId, unitValue }, index): WrongField[] => {
    const row = standing.find((each) => each.meter_id === meterId);
    const path = ['unitValues', index];
    if (row === undefined) return [{ path: [...path, 'meterId'], code: 'unknown', message: 'The price of no meter with this id changed at this moment.' }];
    if (command.unitValues.findIndex((other) => other.meterId === meterId) < index) return [{ path: [...path, 'meterId'], code: 'taken', message: 'This meter is listed already.' }];
    if (unitValue.currency !== row.currency) return [otherCurrency([...path, 'unitValue', 'currency'], 'The board counts', row.currency)];
    return toAmount(unitValue).minor > 0n ? [] : [{ path: [...path, 'unitValue', 'amount'], code: 'not-positive', message: 'must be above zero' }];
  });
  return [...ofMoment.slice(0, 1), ...ofValues];
}

type NewPrice = { readonly meterId: string; readonly minor: bigint };

/**
 * Writes what units are worth from a moment on. A change that was taken back and is entered anew at its moment, as there was one after all, is said of
 * that entry, so that everything that was said of it stays legible. One whose first entry was put to another moment, and holds there, is another change: an
 * entry of its own beside it.
 */
export async function enterPrices(tx: TenantTransaction, prices: readonly NewPrice[], of: { readonly machineId: string; readonly at: Date; readonly now: Date; readonly newId: () => string }): Promise<void> {
  const { machineId, at, now, newId } = of;
  const ofMoment = groupBy(entriesOf(await selectPrices(tx, machineId)).flatMap(([row]) => (row.first_at.getTime() === at.getTime() ? [row] : [])), (row) => row.meter_id);
  const entries = prices.map((price) => {
    const there = ofMoment.get(price.meterId) ?? [];
    return { ...price, takenBack: there.findLast(({ withdrawn }) => withdrawn), entry: there.length };
  });
  const anew = entries.flatMap(({ meterId, minor, takenBack }): NewPriceCorrection[] =>
    takenBack === undefined ? [] : [{ id: newId(), meterId, firstAt: takenBack.first_at, entry: takenBack.entry, round: takenBack.round + 1, at, minor, withdrawn: false }],
  );
  const first = entries.filter(({ takenBack }) => takenBack === undefined);
  if (first.length > 0) await insertUnitValues(tx, first, { at, now });
  if (anew.length > 0) await insertPriceCorrections(tx, anew, { reason: null, now });
}

/**
 * Takes back what was read at a change of price, and writes it at the moment to which that was put, where the meter was not read then already. What a
 * second person said of it goes along: that it was looked at again, and, as long as it follows the same reading, that the meter had passed its last value.
 */
async function moveReadings(tx: TenantTransaction, of: { readonly machineId: string; readonly from: Date; readonly to: Date; readonly reason: string; readonly now: Date; readonly newId: () => string }): Promise<Outcome<null>> {
  const { machineId, from, to, reason, now, newId } = of;
  const read = await selectReadOfPrice(tx, { machineId, at: from });
  const [first] = read;
  if (first === undefined) return done(null);
  const wordLost = await refusedWhereWordIsLost(tx, read, { from, to });
  if (wordLost !== null) return wordLost;
  for (const { id } of read) await insertCorrection(tx, { id: newId(), replacesId: id, value: null, passedEnd: false, reason, now });
  const meters = await selectMeters(tx, [machineId]);
  const then = { meterIds: read.map(({ meter_id: meterId }) => meterId), at: to };
  const [readThen, takenBack] = [await selectReadAt(tx, then), await selectTakenBack(tx, then)];
  const readings = read.flatMap(({ meter_id: meterId, value, read_again: readAgain, confirmed, passed_end: passedEnd }) => {
    const meter = meters.find(({ id }) => id === meterId);
    const isRead = (readThen.get(meterId)?.value ?? null) !== null;
    return meter === undefined || isRead ? [] : [{ id: newId(), meterId, machineId, capacity: meter.capacity, phase: 'only' as const, value, readAgain, confirmed, passedEnd, path: ['at'] }];
  });
  await insertReadings(tx, readings.filter(({ meterId }) => !takenBack.has(meterId)), { occasion: 'price-change', collectionId: null, at: to, readBy: first.read_by, now });
  for (const { id, meterId, value, confirmed, passedEnd } of readings) {
    const replacesId = takenBack.get(meterId);
    if (replacesId !== undefined) await insertCorrection(tx, { id, replacesId, value, passedEnd, reason, now });
    // A word on a reading is a reading in its place that says the same.
    if (confirmed) await insertCorrection(tx, { id: newId(), replacesId: id, value, passedEnd, reason, now });
  }
  const doubtful = await selectDoubtful(tx, readings, { meters, at: to });
  return doubtful.length === 0 ? done(null) : refusedFields('invalid-command', [{ path: ['at'], code: 'readings-do-not-fit', message: 'What was read at the change does not fit what was read around this moment. Correct those readings first.' }]);
}

/** That a meter passed its last value was said of a reading and the one before it: between others it would be said of other readings. */
async function refusedWhereWordIsLost(tx: TenantTransaction, read: readonly ReadOfPrice[], { from, to }: { readonly from: Date; readonly to: Date }): Promise<Outcome<never> | null> {
  const between = new Map((await selectReadBetween(tx, { meterIds: read.map(({ meter_id: meterId }) => meterId), from, to })).map((row) => [row.meter_id, row]));
  const isLost = read.some(({ meter_id: meterId, passed_end: passedEnd }) => between.has(meterId) && (passedEnd || between.get(meterId)?.passed_end === true));
  return isLost ? refusedFields('invalid-command', [{ path: ['at'], code: 'passed-end-said', message: 'Somebody said that a meter had passed its last value, and between these two moments it was read otherwise, so that this would be said of other readings. Take that word back first, and say it anew afterwards.' }]) : null;
}

const isFirstOf = ({ first_at: firstAt, fitted_at: fittedAt }: PriceRow): boolean => firstAt.getTime() === fittedAt.getTime();

function entriesOf(rows: readonly PriceRow[]): Entry[] {
  const entries = new Map<string, [PriceRow, ...PriceRow[]]>();
  for (const row of rows) {
    const key = `${row.meter_id} ${String(row.first_at.getTime())} ${String(row.entry)}`;
    const entry = entries.get(key);
    if (entry === undefined) entries.set(key, [row]);
    else entry.push(row);
  }
  return [...entries.values()];
}

async function shownPrices(tx: TenantTransaction, machineId: string): Promise<MeterPrices> {
  return {
    items: entriesOf(await selectPrices(tx, machineId)).map(([standing, ...before]): MeterPrice => ({
      meterId: standing.meter_id,
      meterLabel: standing.meter_label,
      boardId: standing.board_id,
      isFirst: isFirstOf(standing),
      ...shown(standing),
      before: before.map(shown),
    })),
  };
}

function shown(row: PriceRow): MeterPrice['before'][number] {
  return {
    at: formatInstant(row.effective_at),
    unitValue: moneyOf(row.unit_value_minor, row.currency),
    withdrawn: row.withdrawn,
    reason: row.reason,
    enteredAnew: row.round > 0 && row.reason === null,
    withoutSecondPerson: row.made_alone,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
  };
}
