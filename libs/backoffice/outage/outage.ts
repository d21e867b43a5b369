import { formatInstant } from '#contracts/format';
import type { EndOutage, Outage, OutageListQuery, ReportOutage } from '#contracts/meter';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { TenantTransaction } from '#database/tenant';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { writeAtOccasion } from '../meter/at-occasion';
import { lockMachines } from '../meter/meter.sql';
import { readingConstraints } from '../meter/reading-constraints';
import { recordingTries } from '../meter/write-readings';
import { momentOf } from '../moment';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { isDoneAlone } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { fieldFailure, taken, unknownReference } from '../refusal';
import { followingExplanation, followingMeters } from '../variance/follow-meters';
import { insertOutage, selectOutage, selectOutages, updateConfirmed, updateEnd, updateTakenBack, type OutageRow } from './outage.sql';

const notAfterStart: Outcome<never> = refusedFields('invalid-command', [{ path: ['endedAt'], code: 'not-after-start', message: 'It works again after it stopped.' }]);
const overlap = fieldFailure('invalid-command', { path: ['startedAt'], code: 'other-outage', message: 'The machine was out of order already at this time.' });

/** Reports an outage, of the present or with its end. A machine is out of order once at a time. */
export function reportOutage(deps: Backoffice, caller: Caller, command: ReportOutage): Promise<Outcome<Outage>> {
  const { machineId, cause, remedy = '', reportedBy = null, metersAtStart, metersAtEnd } = command;
  return perform(
    deps,
    caller,
    'outage.report',
    async (unit) => {
      const { tx, now } = unit;
      const startedAt = momentOf(command.startedAt, { now, field: 'startedAt' });
      if (!startedAt.ok) return startedAt;
      const endedAt = command.endedAt === undefined ? null : momentOf(command.endedAt, { now, field: 'endedAt' });
      if (endedAt?.ok === false) return endedAt;
      if (endedAt !== null && endedAt.value <= startedAt.value) return notAfterStart;
      const id = command.id ?? deps.newId();
      await lockMachines(tx, [machineId]);
      const common = { machineId, now, newId: deps.newId };
      return recordingTries(unit, deps.newId, (tries) =>
        followingMeters(tx, { machineId, from: startedAt.value, sourceId: id, now, newId: deps.newId }, async () => {
          await insertOutage(tx, { id, machine_id: machineId, started_at: startedAt.value, ended_at: endedAt?.value ?? null, cause, remedy, reported_by: reportedBy, recorded_at: now });
          const stopped = await writeAtOccasion(tx, { ...common, occasion: 'out-of-service', read: metersAtStart, field: 'metersAtStart', when: startedAt.value, tries });
          if (!stopped.ok) return stopped;
          const works = endedAt === null ? done(null) : await writeAtOccasion(tx, { ...common, occasion: 'in-service', read: metersAtEnd, field: 'metersAtEnd', when: endedAt.value, tries });
          return works.ok ? readBack(tx, id) : works;
        }),
      );
    },
    {
      constraints: {
        ...readingConstraints(['metersAtStart']),
        outage_pkey: taken(['id'], 'an outage with this id'),
        outage_machine: unknownReference(['machineId'], 'machine'),
        outage_person: unknownReference(['reportedBy'], 'person'),
        outage_one_at_a_time: overlap,
      },
    },
  );
}

/** The machine works again. Until somebody confirms that, it is the word of who ended it as much as of who reported it. */
export function endOutage(deps: Backoffice, caller: Caller, command: { readonly id: string } & EndOutage): Promise<Outcome<Outage>> {
  return perform(
    deps,
    caller,
    'outage.report',
    async (unit) => {
      const { tx, now } = unit;
      const row = await selectOutage(tx, command.id);
      if (row === null) return refused('not-found');
      const endedAt = momentOf(command.endedAt, { now, field: 'endedAt' });
      if (!endedAt.ok) return endedAt;
      if (endedAt.value <= row.started_at) return notAfterStart;
      const { machine_id: machineId } = row;
      await lockMachines(tx, [machineId]);
      return recordingTries(unit, deps.newId, (tries) =>
        followingMeters(tx, { machineId, from: row.started_at, now, newId: deps.newId }, async () => {
          if (!(await updateEnd(tx, { id: row.id, endedAt: endedAt.value, remedy: command.remedy }))) return refused('wrong-state', { detail: row.taken_back_at === null ? 'This outage has ended already.' : 'This outage was taken back.' });
          const works = await writeAtOccasion(tx, { machineId, occasion: 'in-service', read: command.meters, field: 'meters', when: endedAt.value, tries, now, newId: deps.newId });
          return works.ok ? readBack(tx, row.id) : works;
        }),
      );
    },
    { constraints: readingConstraints(['meters']) },
  );
}

/**
 * Confirms an outage that others reported and ended. Until then it explains no count that one of these had a hand in; from
 * then on those are compared again.
 */
export function confirmOutage(deps: Backoffice, caller: Caller, command: { readonly id: string }): Promise<Outcome<Outage>> {
  return perform(deps, caller, 'outage.confirm', async ({ tx, now }) => {
    const row = await selectOutage(tx, command.id);
    if (row === null) return refused('not-found');
    const alone = await isDoneAlone(tx, { recordedBy: row.said_by, now, detail: 'You reported or ended this outage: somebody else confirms it.' });
    if (!alone.ok) return alone;
    if (!(await updateConfirmed(tx, { id: row.id, now }))) return refused('wrong-state', { detail: row.taken_back_at === null ? 'This outage was confirmed already.' : 'This outage was taken back.' });
    if (alone.value) await labelRelaxed(tx, { recordId: row.id, rule: 'second-person', kind: 'outage', now });
    await followingExplanation(tx, { machineId: row.machine_id, from: row.started_at, now, newId: deps.newId });
    return readBack(tx, row.id);
  });
}

/** Takes back an outage that was wrong: counts that it explained are compared and charted again. */
export function takeBackOutage(deps: Backoffice, caller: Caller, command: { readonly id: string; readonly reason: string }): Promise<Outcome<Outage>> {
  return perform(deps, caller, 'outage.take-back', async ({ tx, now }) => {
    const row = await selectOutage(tx, command.id);
    if (row === null) return refused('not-found');
    if (!(await updateTakenBack(tx, { id: row.id, reason: command.reason, now }))) return refused('wrong-state', { detail: 'This outage was taken back already.' });
    await followingExplanation(tx, { machineId: row.machine_id, from: row.started_at, now, newId: deps.newId });
    return readBack(tx, row.id);
  });
}

export function listOutages(deps: Backoffice, caller: Caller, query: OutageListQuery): Promise<Outcome<Page<Outage>>> {
  return perform<Page<Outage>>(deps, caller, 'outage.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, z.tuple([z.iso.datetime(), z.uuid()]));
    if (after === 'invalid') return refused('invalid-cursor');
    const ended = query.state === undefined ? null : query.state === 'ended';
    const rows = await selectOutages(tx, { after, limit: query.limit + 1, machineId: query.machineId ?? null, ended });
    return done(toPage({ rows, limit: query.limit, item: toOutage, keyOf: (row) => [row.started_at.toISOString(), row.id] }));
  });
}

async function readBack(tx: TenantTransaction, id: string): Promise<Outcome<Outage>> {
  const row = await selectOutage(tx, id);
  if (row === null) throw new Error(`outage ${id} is gone`);
  return done(toOutage(row));
}

function toOutage(row: OutageRow): Outage {
  return {
    id: row.id,
    machineId: row.machine_id,
    machineTag: row.machine_tag,
    startedAt: formatInstant(row.started_at),
    endedAt: row.ended_at === null ? null : formatInstant(row.ended_at),
    cause: row.cause,
    remedy: row.remedy === '' ? null : row.remedy,
    reportedBy: row.reported_by,
    endedBy: row.ended_by,
    confirmed: row.confirmed_at === null ? null : { confirmedAt: formatInstant(row.confirmed_at), confirmedBy: row.confirmed_by ?? '', withoutSecondPerson: row.confirmed_alone },
    toConfirm: row.to_confirm,
    takenBack: row.taken_back_at === null ? null : { reason: row.taken_back_because ?? '', takenBackAt: formatInstant(row.taken_back_at), takenBackBy: row.taken_back_by ?? '' },
    revision: row.revision,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
  };
}
