import { formatInstant } from '#contracts/format';
import type { EndOutage, Outage, OutageListQuery, ReportOutage } from '#contracts/meter';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { TenantTransaction } from '#database/tenant';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { momentOf } from '../moment';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { fieldFailure, taken, unknownReference } from '../refusal';
import { insertOutage, selectOutage, selectOutages, updateEnd, type OutageRow } from './outage.sql';

const notAfterStart: Outcome<never> = refusedFields('invalid-command', [{ path: ['endedAt'], code: 'not-after-start', message: 'It works again after it stopped.' }]);
const overlap = fieldFailure('invalid-command', { path: ['startedAt'], code: 'other-outage', message: 'The machine was out of order already at this time.' });

/** Reports an outage, of the present or with its end. A machine is out of order once at a time. */
export function reportOutage(deps: Backoffice, caller: Caller, command: ReportOutage): Promise<Outcome<Outage>> {
  const { machineId, cause, remedy = '', reportedBy = null } = command;
  return perform(
    deps,
    caller,
    'outage.report',
    async ({ tx, now }) => {
      const startedAt = momentOf(command.startedAt, { now, field: 'startedAt' });
      if (!startedAt.ok) return startedAt;
      const endedAt = command.endedAt === undefined ? null : momentOf(command.endedAt, { now, field: 'endedAt' });
      if (endedAt?.ok === false) return endedAt;
      if (endedAt !== null && endedAt.value <= startedAt.value) return notAfterStart;
      const id = command.id ?? deps.newId();
      await insertOutage(tx, { id, machine_id: machineId, started_at: startedAt.value, ended_at: endedAt?.value ?? null, cause, remedy, reported_by: reportedBy, recorded_at: now });
      return readBack(tx, id);
    },
    {
      constraints: {
        outage_pkey: taken(['id'], 'an outage with this id'),
        outage_machine: unknownReference(['machineId'], 'machine'),
        outage_person: unknownReference(['reportedBy'], 'person'),
        outage_one_at_a_time: overlap,
      },
    },
  );
}

/** The machine works again. */
export function endOutage(deps: Backoffice, caller: Caller, command: { readonly id: string } & EndOutage): Promise<Outcome<Outage>> {
  return perform(
    deps,
    caller,
    'outage.report',
    async ({ tx, now }) => {
      const row = await selectOutage(tx, command.id);
      if (row === null) return refused('not-found');
      const endedAt = momentOf(command.endedAt, { now, field: 'endedAt' });
      if (!endedAt.ok) return endedAt;
      if (endedAt.value <= row.started_at) return notAfterStart;
      if (!(await updateEnd(tx, { id: row.id, endedAt: endedAt.value, remedy: command.remedy }))) return refused('wrong-state', { detail: 'This outage has ended already.' });
      return readBack(tx, row.id);
    },
  );
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
    startedAt: formatInstant(row.started_at),
    endedAt: row.ended_at === null ? null : formatInstant(row.ended_at),
    cause: row.cause,
    remedy: row.remedy === '' ? null : row.remedy,
    reportedBy: row.reported_by,
    revision: row.revision,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
  };
}
