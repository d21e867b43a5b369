import { capacityOf, type MeterTender } from '#domain/meters/meter';
import type { CounterBoards, FitBoard, RemoveBoard } from '#contracts/meter';
import { toAmount } from '#contracts/money';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { momentOf } from '../moment';
import { perform, type PerformOptions } from '../perform';
import { fieldFailure, otherCurrency, taken } from '../refusal';
import { followingMeters } from '../variance/follow-meters';
import { checkReadings, tooLarge, type EnteredReading } from './check-readings';
import { endBoard, insertBoard, insertMeters, insertUnitValues, isMachine, lockMachines, selectMachineOfBoard, selectMeters, type MeterRow } from './meter.sql';
import { readingConstraints } from './reading-constraints';
import { insertReadings } from './reading.sql';
import type { ReadingTry } from './reading-try.sql';
import { isFittedAt, showBoards } from './to-board';
import { recordingTries, writeReadings } from './write-readings';

const constraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  ...readingConstraints(['readings']),
  counter_board_pkey: taken(['id'], 'a board with this id'),
  counter_board_one_at_a_time: fieldFailure('invalid-command', { path: ['fittedAt'], code: 'other-board', message: 'Another board was in the machine at this time.' }),
  meter_pkey: fieldFailure('already-exists', { path: ['meters'], code: 'taken', message: 'One of these ids belongs to another meter.' }),
  meter_label_once: fieldFailure('invalid-command', { path: ['meters'], code: 'taken', message: 'Two meters of one board have different labels.' }),
};

/** The boards of a machine with their meters, the first ones first. What was read off them is asked elsewhere. */
export function listBoards(deps: Backoffice, caller: Caller, query: { readonly machineId: string }): Promise<Outcome<CounterBoards>> {
  return perform<CounterBoards>(deps, caller, 'meter.read', async ({ tx, now }) => {
    if (!(await isMachine(tx, query.machineId))) return refused('not-found');
    return done({ items: showBoards(await selectMeters(tx, [query.machineId]), now) });
  });
}

/**
 * Fits a board with its meters. Where another comes out for it, each meter of that one is read as it comes out, and each
 * meter of the new one as it goes in: the interval goes on across the change in two segments.
 */
export async function fitBoard(deps: Backoffice, caller: Caller, command: { readonly machineId: string } & FitBoard): Promise<Outcome<CounterBoards>> {
  const { machineId, label, readBy = null } = command;
  return perform(
    deps,
    caller,
    'meter.set-up',
    async (unit) => {
      const { tx, now } = unit;
      if (!(await lockMachines(tx, [machineId])).has(machineId)) return refused('not-found');
      const moment = momentOf(command.fittedAt, { now, field: 'fittedAt' });
      if (!moment.ok) return moment;
      const at = moment.value;
      const wrong = wrongMeters(command);
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const boardId = command.id ?? deps.newId();
      return recordingTries(unit, deps.newId, (tries) =>
        followingMeters(tx, { machineId, from: at, sourceId: boardId, now, newId: deps.newId }, async () => {
          const takenOut = await takeOut(tx, command, { at, readBy, now, tries, newId: deps.newId });
          if (!takenOut.ok) return takenOut;
          const named = command.meters.map((meter) => ({ ...meter, id: meter.id ?? deps.newId(), capacity: capacityOf(meter.digits), currency: meter.unitValue.currency }));
          const meters = named.map((meter) => ({ ...meter, secondOf: named.find(({ label: first }) => first === meter.secondOfLabel)?.id ?? null }));
          await insertBoard(tx, { id: boardId, machineId, label, fittedAt: at, now });
          await insertMeters(tx, meters, { boardId, machineId });
          await insertUnitValues(tx, meters.map(({ id, unitValue }) => ({ meterId: id, minor: toAmount(unitValue).minor })), { at, now });
          const readings = meters.map(({ id, capacity, value }) => ({ id: deps.newId(), meterId: id, machineId, capacity, phase: 'only' as const, value: BigInt(value), readAgain: false }));
          await insertReadings(tx, readings, { occasion: 'board-fitted', collectionId: null, at, readBy, now });
          return done({ items: showBoards(await selectMeters(tx, [machineId]), now) });
        }),
      );
    },
    { constraints },
  );
}

/** Takes a board out for which none comes in. */
export async function removeBoard(deps: Backoffice, caller: Caller, command: { readonly boardId: string } & RemoveBoard): Promise<Outcome<CounterBoards>> {
  const { boardId, readBy = null } = command;
  return perform(
    deps,
    caller,
    'meter.set-up',
    async (unit) => {
      const { tx, now } = unit;
      const machineId = await selectMachineOfBoard(tx, boardId);
      if (machineId === null) return refused('not-found');
      await lockMachines(tx, [machineId]);
      const moment = momentOf(command.removedAt, { now, field: 'removedAt' });
      if (!moment.ok) return moment;
      const board = (await selectMeters(tx, [machineId])).filter((meter) => meter.board_id === boardId);
      const at = moment.value;
      return recordingTries(unit, deps.newId, (tries) =>
        followingMeters(tx, { machineId, from: at, now, newId: deps.newId }, async () => {
          const ended = await endWithReadings(tx, { board, boardId, readings: command.readings, at, readBy, now, tries, newId: deps.newId, fields: { readings: 'readings', at: 'removedAt' } });
          return ended.ok ? done({ items: showBoards(await selectMeters(tx, [machineId]), now) }) : ended;
        }),
      );
    },
    { constraints },
  );
}

type Ending = { readonly at: Date; readonly readBy: string | null; readonly now: Date; readonly tries: ReadingTry[]; readonly newId: () => string };

async function takeOut(tx: TenantTransaction, { machineId, replacedReadings }: { readonly machineId: string } & FitBoard, ending: Ending): Promise<Outcome<null>> {
  const meters = await selectMeters(tx, [machineId]);
  const last = meters.findLast(({ removed_at: removedAt }) => removedAt === null);
  if (last === undefined) {
    if (replacedReadings.length === 0) return done(null);
    return refusedFields('invalid-command', [{ path: ['replacedReadings'], code: 'no-board', message: 'There is no board in the machine that could come out.' }]);
  }
  const board = meters.filter(({ board_id: boardId }) => boardId === last.board_id);
  return endWithReadings(tx, { ...ending, board, boardId: last.board_id, readings: replacedReadings, fields: { readings: 'replacedReadings', at: 'fittedAt' } });
}

async function endWithReadings(
  tx: TenantTransaction,
  input: Ending & {
    readonly board: readonly MeterRow[];
    readonly boardId: string;
    readonly readings: readonly Omit<EnteredReading, 'path'>[];
    /** What the caller's request calls the readings of the board that comes out, and the moment. */
    readonly fields: { readonly readings: string; readonly at: string };
  },
): Promise<Outcome<null>> {
  const { board, boardId, at, readBy, now, tries, newId, fields } = input;
  const fitted = board.every((meter) => meter.fitted_at < at);
  if (!fitted) return refusedFields('invalid-command', [{ path: [fields.at], code: 'before-fitting', message: 'A board comes out after it was fitted.' }]);
  if (board.some((meter) => !isFittedAt(meter, at))) return refused('wrong-state', { detail: 'The board was taken out already.' });
  const entries = input.readings.map((reading, index) => ({ ...reading, path: [fields.readings, index] }));
  const meters = board.map((meter) => ({ ...meter, removed_at: at }));
  const { readings, wrong } = await checkReadings(tx, entries, { meters, at, occasion: 'board-removed', allAt: [fields.readings], newId });
  if (wrong.length > 0) return refusedFields('invalid-command', wrong);
  if (!(await endBoard(tx, { id: boardId, removedAt: at }))) return refused('wrong-state', { detail: 'The board was taken out already.' });
  const doubtful = await writeReadings(tx, readings, { meters, occasion: 'board-removed', collectionId: null, at, readBy, now, tries });
  return doubtful.length > 0 ? refusedFields('invalid-command', doubtful) : done(null);
}

function wrongMeters({ meters }: FitBoard): WrongField[] {
  const currency = meters[0]?.unitValue.currency;
  const wrong = meters.flatMap((meter, index): WrongField[] => {
    const { digits, value, unitValue } = meter;
    const path = ['meters', index];
    const wrongFirst = wrongSecond(meter, meters);
    return [
      ...(wrongFirst === null ? [] : [{ path: [...path, 'secondOfLabel'], ...wrongFirst }]),
      ...(BigInt(value) >= capacityOf(digits) ? [{ path: [...path, 'value'], code: 'too-many-digits', message: tooLarge({ digits }) }] : []),
      ...(currency === undefined || unitValue.currency === currency ? [] : [otherCurrency([...path, 'unitValue', 'currency'], 'The board counts', currency)]),
      ...(toAmount(unitValue).minor > 0n ? [] : [{ path: [...path, 'unitValue', 'amount'], code: 'not-positive', message: 'must be above zero' }]),
    ];
  });
  return wrong.length > 0 ? wrong : meters.flatMap((meter, index) => unsaidSecond(meter, { index, meters }));
}

/** Two meters of one tender count the same cash, or cash of their own: added up unasked, what was counted twice would be expected twice. */
function unsaidSecond({ label, tender, secondOfLabel }: FitBoard['meters'][number], { index, meters }: { readonly index: number; readonly meters: FitBoard['meters'] }): WrongField[] {
  if (secondOfLabel !== undefined || !isDoubled(tender)) return [];
  const before = meters.slice(0, index).filter((each) => each.tender === tender && each.label !== label && (each.secondOfLabel ?? null) === null);
  // One that has its second counter takes no other.
  const first = before.find((each) => !meters.some((other) => other.secondOfLabel === each.label));
  if (first === undefined) return [];
  return [{ path: ['meters', index, 'secondOfLabel'], code: 'same-cash-unsaid', message: `Say whether it counts the same cash as ${first.label}, as a second counter, or cash of its own.`, values: { meter: first.label } }];
}

/** What is wrong with the meter that a second counter names; null where nothing is, and for a meter that names none. */
function wrongSecond(meter: FitBoard['meters'][number], meters: FitBoard['meters']): Pick<WrongField, 'code' | 'message'> | null {
  const { label, secondOfLabel = null } = meter;
  if (secondOfLabel === null) return null;
  const first = meters.find((each) => each.label === secondOfLabel);
  if (first === undefined) return { code: 'unknown', message: 'The board has no meter with this label.' };
  if (first === meter || (first.secondOfLabel ?? null) !== null) return { code: 'not-first', message: 'A second counter stands beside a meter that is none itself.' };
  if (!isDoubled(meter.tender)) return { code: 'not-for-tender', message: 'Only coins, notes and plays are counted a second time.' };
  if (first.tender !== meter.tender) return { code: 'other-tender', message: `Meter ${first.label} does not count the same.` };
  const isTaken = meters.some((each) => each.label !== label && each.secondOfLabel === secondOfLabel);
  return isTaken ? { code: 'taken', message: `Meter ${first.label} has one second counter.` } : null;
}

const isDoubled = (tender: MeterTender): boolean => tender === 'coin' || tender === 'note' || tender === 'plays';
