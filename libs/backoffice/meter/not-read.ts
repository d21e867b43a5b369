import type { NotReadEntry, SayWhyNotRead, UnreadMeters } from '#contracts/meter';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { Caller } from '../caller';
import { selectCollection } from '../collection/collection.sql';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import type { MeterRow } from './meter.sql';
import { insertNotRead, selectUnread, type NewNotRead } from './not-read.sql';
import { isFittedAt } from './to-board';

/** A meter that was not read; `machineId` is that of the box with which it was said, `path` leads to it in the request. */
export type EnteredNotRead = NotReadEntry & { readonly machineId?: string | undefined; readonly path: readonly (string | number)[] };

/** Reasons ready to be written, or what is wrong with them. `readMeterIds`: meters that the same request has a reading of. */
export function checkNotRead(
  entries: readonly EnteredNotRead[],
  { meters, at, readMeterIds, newId }: { readonly meters: readonly MeterRow[]; readonly at: Date; readonly readMeterIds: readonly string[]; readonly newId: () => string },
): { notRead: NewNotRead[]; wrong: WrongField[] } {
  const wrong: WrongField[] = [];
  const notRead = entries.flatMap(({ meterId, machineId, why, note = '', path }, index): NewNotRead[] => {
    const meter = meters.find(({ id }) => id === meterId);
    const not = (code: string, message: string): NewNotRead[] => {
      wrong.push({ path: [...path, 'meterId'], code, message });
      return [];
    };
    if (meter === undefined || (machineId !== undefined && meter.machine_id !== machineId)) return not('unknown', 'The machine has no meter with this id.');
    if (!isFittedAt(meter, at)) return not('not-in-machine', `Board ${meter.board_label} was not in the machine at this moment.`);
    if (readMeterIds.includes(meterId)) return not('read-and-unread', 'There is a reading of this meter as well: give one or the other.');
    if (entries.findIndex((other) => other.meterId === meterId) < index) return not('taken', 'This meter is listed already.');
    return [{ id: newId(), meterId, machineId: meter.machine_id, why, note }];
  });
  return { notRead, wrong };
}

/**
 * Says why meters were not read at a collection, later than with its counts or otherwise than before. What was said first stays
 * legible. Also of an accepted one: a reason changes no figure, and whoever looks at the flag asks the collector for it.
 */
export async function sayWhyNotRead(deps: Backoffice, caller: Caller, command: { readonly collectionId: string } & SayWhyNotRead): Promise<Outcome<UnreadMeters>> {
  const { collectionId } = command;
  return perform<UnreadMeters>(deps, caller, 'meter-reading.record', async ({ tx, now }) => {
    const row = await selectCollection(tx, collectionId);
    if (row === null) return refused('not-found');
    if (row.state === 'discarded') return refused('wrong-state', { detail: 'The collection was discarded: enter the visit anew, and its readings with it.' });
    const unread = new Map((await selectUnread(tx, { collectionId })).map((meter) => [meter.meterId, meter]));
    const wrong = command.meters.flatMap(({ meterId }, index): WrongField[] => {
      const path = ['meters', index, 'meterId'];
      if (!unread.has(meterId)) return [{ path, code: 'not-unread', message: 'No machine that was opened there has a meter with this id that was not read.' }];
      return command.meters.findIndex((other) => other.meterId === meterId) < index ? [{ path, code: 'taken', message: 'This meter is listed already.' }] : [];
    });
    if (wrong.length > 0) return refusedFields('invalid-command', wrong);
    const notRead = command.meters.flatMap(({ meterId, why, note = '' }) => {
      const machineId = unread.get(meterId)?.machineId;
      return machineId === undefined ? [] : [{ id: deps.newId(), meterId, machineId, why, note }];
    });
    await insertNotRead(tx, notRead, { occasion: 'collection', collectionId, at: row.happened_at, now });
    return done({ items: await selectUnread(tx, { collectionId }) });
  });
}
