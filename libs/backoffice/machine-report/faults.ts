import { formatInstant } from '#contracts/format';
import type { DismissedFault, DismissFault, MachineFaults } from '#contracts/machine-report';
import { done, refusedFields, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { fieldFailure } from '../refusal';
import { insertDismissal, selectDismissals, selectFaults, type DismissalRow, type FaultRow } from './faults.sql';

const LISTED_MS = 30 * 24 * 60 * 60 * 1000;
/** A jam that is cleared within the hour takes no day out of service. */
const LEAST_MS = 60 * 60 * 1000;

const MOST = 200;
const MOST_DISMISSED = 100;

/**
 * What machines say of themselves that would be an outage, or the end of one. It changes no figure: days count as out of
 * order when somebody records the outage, since a loose contact must not explain a shortage away.
 */
export function listMachineFaults(deps: Backoffice, caller: Caller): Promise<Outcome<MachineFaults>> {
  return perform<MachineFaults>(deps, caller, 'outage.read', async ({ tx, now }) => {
    const rows = await proposed(tx, now);
    const dismissed = await selectDismissals(tx, { from: listedFrom(now), limit: MOST_DISMISSED, one: null });
    return done({
      dismissed: dismissed.map(toDismissed),
      more: rows.length > MOST,
      items: rows.slice(0, MOST).map((row) => ({
        machineId: row.machine_id,
        machineTag: row.machine_tag,
        siteName: row.site_name,
        kind: row.kind,
        fault: row.fault === '' ? null : row.fault,
        startedAt: formatInstant(row.started_at),
        endedAt: row.ended_at === null ? null : formatInstant(row.ended_at),
        proposes: row.outage_id === null ? 'outage' : 'end',
        outageId: row.outage_id,
      })),
    });
  });
}

/**
 * Dismisses what a machine reported as no outage, with the reason: it is proposed no more. The same fault is proposed again
 * when it begins anew. What hangs on an outage that is recorded is ended, not dismissed.
 */
export function dismissMachineFault(deps: Backoffice, caller: Caller, command: DismissFault): Promise<Outcome<DismissedFault>> {
  return perform<DismissedFault>(
    deps,
    caller,
    'machine-fault.dismiss',
    async ({ tx, now }) => {
      const { machineId, kind, reason } = command;
      const [fault, startedAt] = [command.fault ?? '', new Date(command.startedAt)];
      const found = (await proposed(tx, now)).find((row) => row.machine_id === machineId && row.kind === kind && row.fault === fault && row.started_at.getTime() === startedAt.getTime());
      if (found === undefined) return refusedFields('invalid-command', [{ path: ['startedAt'], code: 'unknown', message: 'No such fault is proposed, or it was recorded or dismissed meanwhile.' }]);
      if (found.outage_id !== null) return refusedFields('invalid-command', [{ path: ['startedAt'], code: 'outage-recorded', message: 'An outage is recorded for it: end that one, or take it back.' }]);
      await insertDismissal(tx, { machineId, kind, fault, startedAt, reason, now });
      const written = (await selectDismissals(tx, { from: now, limit: MOST_DISMISSED, one: { machineId, startedAt } })).find((row) => row.kind === kind && row.fault === fault);
      if (written === undefined) throw new Error(`the dismissal of a fault of ${machineId} is gone`);
      return done(toDismissed(written));
    },
    { constraints: { machine_fault_dismissal_pkey: fieldFailure('already-exists', { path: ['startedAt'], code: 'taken', message: 'This fault was dismissed already.' }) } },
  );
}

const listedFrom = (now: Date): Date => new Date(now.getTime() - LISTED_MS);

function proposed(tx: TenantTransaction, now: Date): Promise<FaultRow[]> {
  return selectFaults(tx, { from: listedFrom(now), now, leastMs: LEAST_MS, limit: MOST });
}

function toDismissed(row: DismissalRow): DismissedFault {
  return {
    machineId: row.machine_id,
    machineTag: row.machine_tag,
    kind: row.kind,
    fault: row.fault === '' ? null : row.fault,
    startedAt: formatInstant(row.started_at),
    reason: row.reason,
    dismissedAt: formatInstant(row.dismissed_at),
    dismissedBy: row.dismissed_by,
  };
}
