import type { MetersReadAround } from '#contracts/meter';
import type { Outcome } from '#contracts/outcome';
import type { LocalDate } from '#domain/calendar/local-date';
import { beforeDay } from '../collection/local-day';
import { lockMachine } from '../machine/machine.sql';
import { writeAtOccasion } from '../meter/at-occasion';
import { recordingTries } from '../meter/write-readings';
import type { Unit } from '../perform';
import { followingMeters } from '../variance/follow-meters';
import { selectZoneOn } from './installation.sql';

type Change = {
  /** Undefined where the request names nothing that is known: the work refuses it. */
  readonly machineId: string | undefined;
  readonly day: LocalDate;
  readonly meters: MetersReadAround | undefined;
  /** The installation that the work makes; none where it ends one. */
  readonly sourceId?: string;
  readonly newId: () => string;
};

/** Runs work that changes the game in a machine, and writes what its meters showed before and after, or neither. */
export async function readingAround<Value>(unit: Unit, change: Change, work: () => Promise<Outcome<Value>>): Promise<Outcome<Value>> {
  const { machineId, day, meters: read, sourceId, newId } = change;
  if (machineId === undefined || read === undefined) return work();
  const { tx, now } = unit;
  if ((await lockMachine(tx, machineId)) === null) return work();
  const timeZone = await selectZoneOn(tx, { machineId, day });
  return recordingTries(unit, newId, (tries) =>
    followingMeters(tx, { machineId, from: beforeDay(day), sourceId, now, newId }, async () => {
      const changed = await work();
      if (!changed.ok) return changed;
      const written = await writeAtOccasion(tx, { machineId, occasion: 'game-change', read, field: 'meters', when: { day, timeZone }, tries, now, newId });
      return written.ok ? changed : written;
    }),
  );
}
