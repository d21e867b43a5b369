import { formatInstant } from '#contracts/format';
import type { BoardOpening, BoardOpenings, RecordBoardOpening } from '#contracts/meter';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { momentOf } from '../moment';
import { perform } from '../perform';
import { fieldFailure, taken, unknownReference } from '../refusal';
import { followingMeters } from '../variance/follow-meters';
import { isMachine, lockMachines, selectMeters } from './meter.sql';
import { insertOpening, selectOpening, selectOpenings, updateTakenBack, type OpeningRow } from './opening.sql';
import { selectReadAt } from './reading.sql';
import { isFittedAt } from './to-board';

/** When the board of a machine was opened or cleared while nobody read its meters, the latest first. */
export function listOpenings(deps: Backoffice, caller: Caller, query: { readonly machineId: string }): Promise<Outcome<BoardOpenings>> {
  return perform<BoardOpenings>(deps, caller, 'meter.read', async ({ tx }) => ((await isMachine(tx, query.machineId)) ? done({ items: (await selectOpenings(tx, query)).map(toOpening) }) : refused('not-found')));
}

/**
 * Records that a board was opened or cleared, and that nobody read its meters before and after. From the reading before to the next one nothing says what was played: a count
 * of that time is compared with nothing and flagged, until what they showed then is entered.
 */
export function recordOpening(deps: Backoffice, caller: Caller, command: { readonly machineId: string } & RecordBoardOpening): Promise<Outcome<BoardOpening>> {
  const { machineId, openedBy = null, why, note = '' } = command;
  return perform<BoardOpening>(
    deps,
    caller,
    'board-opening.record',
    async ({ tx, now }) => {
      if (!(await lockMachines(tx, [machineId])).has(machineId)) return refused('not-found');
      const moment = momentOf(command.openedAt, { now, field: 'openedAt' });
      if (!moment.ok) return moment;
      const at = moment.value;
      const board = (await selectMeters(tx, [machineId])).filter((meter) => meter.fitted_at < at && isFittedAt(meter, at));
      const [first] = board;
      if (first === undefined) return refusedFields('invalid-command', [{ path: ['openedAt'], code: 'not-in-machine', message: 'There was no board in the machine at this moment.' }]);
      const read = await selectReadAt(tx, { meterIds: board.map(({ id }) => id), at });
      if (board.every(({ id }) => read.get(id)?.occasion === 'board-access')) return refusedFields('invalid-command', [{ path: ['openedAt'], code: 'read-already', message: 'The meters were read before and after at this moment.' }]);
      const id = command.id ?? deps.newId();
      return followingMeters(tx, { machineId, from: at, sourceId: id, now, newId: deps.newId }, async () => {
        await insertOpening(tx, { id, machine_id: machineId, board_id: first.board_id, opened_at: at, opened_by: openedBy, why, note, recorded_at: now });
        return readBack(tx, id);
      });
    },
    {
      constraints: {
        board_opening_pkey: taken(['id'], 'an opening with this id'),
        board_opening_once: fieldFailure('already-exists', { path: ['openedAt'], code: 'taken', message: 'It is recorded already that the board was opened at this moment.' }),
        board_opening_person: unknownReference(['openedBy'], 'person'),
      },
    },
  );
}

/** Takes back that a board was opened: it stays on record, and what the meters say of that time holds again. */
export function takeBackOpening(deps: Backoffice, caller: Caller, command: { readonly id: string; readonly reason: string }): Promise<Outcome<BoardOpening>> {
  return perform<BoardOpening>(deps, caller, 'board-opening.take-back', async ({ tx, now }) => {
    const row = await selectOpening(tx, command.id);
    if (row === null) return refused('not-found');
    const { machine_id: machineId } = row;
    await lockMachines(tx, [machineId]);
    return followingMeters(tx, { machineId, from: row.opened_at, now, newId: deps.newId }, async () =>
      (await updateTakenBack(tx, { id: row.id, reason: command.reason, now })) ? readBack(tx, row.id) : refused('wrong-state', { detail: 'This was taken back already.' }),
    );
  });
}

async function readBack(tx: TenantTransaction, id: string): Promise<Outcome<BoardOpening>> {
  const row = await selectOpening(tx, id);
  if (row === null) throw new Error(`opening ${id} is gone`);
  return done(toOpening(row));
}

function toOpening(row: OpeningRow): BoardOpening {
  const { taken_back_at: takenBackAt, taken_back_by: takenBackBy, taken_back_because: reason } = row;
  return {
    id: row.id,
    machineId: row.machine_id,
    boardId: row.board_id,
    openedAt: formatInstant(row.opened_at),
    openedBy: row.opened_by,
    why: row.why,
    note: row.note === '' ? null : row.note,
    takenBack: takenBackAt === null || takenBackBy === null || reason === null ? null : { reason, takenBackAt: formatInstant(takenBackAt), takenBackBy },
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
  };
}
