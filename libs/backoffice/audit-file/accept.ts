import type { AcceptAuditFile, AuditFile } from '#contracts/audit-file';
import { refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import { isSealed } from '../collection/blind';
import type { Backoffice } from '../dependencies';
import { checkReadings } from '../meter/check-readings';
import { lockMachines, selectMeters } from '../meter/meter.sql';
import { writeReadings } from '../meter/write-readings';
import { perform } from '../perform';
import { followingMeters } from '../variance/follow-meters';
import { markAccepted, selectAuditFile, selectFigures } from './audit-file.sql';
import { checkFigures, fed, momentOfReadOut } from './check';
import { readBack } from './read';

/**
 * Makes what a file tells the readings of its machine at the collection, as if they had been typed there. Nobody can read
 * them again, so that one which cannot follow on the reading before is taken and marked, for somebody to look at. Beside
 * the files before and after it is held only for who may see those: to who counts there a refusal would tell them.
 */
export function acceptAuditFile(deps: Backoffice, caller: Caller, command: { readonly id: string } & AcceptAuditFile): Promise<Outcome<AuditFile>> {
  return perform<AuditFile>(
    deps,
    caller,
    'audit-file.accept',
    async (unit) => {
      const { tx, now } = unit;
      const file = await selectAuditFile(tx, command.id);
      if (file === null) return refused('not-found');
      const { id, machine_id: machineId, collection_id: collectionId, sha256 } = file;
      if (command.machineId !== machineId) return refusedFields('invalid-command', [{ path: ['machineId'], code: 'other-machine', message: `The file is of machine ${file.machine_tag}.` }]);
      if (file.state !== 'staged') return refused('wrong-state', { detail: file.state === 'accepted' ? 'The file is accepted already.' : 'Another file was uploaded for the machine since.' });
      // The collection before its machines, as everywhere else.
      const moment = await momentOfReadOut(tx, { collectionId, machineId });
      if (!moment.ok) return moment;
      const { at, siteId } = moment.value;
      await lockMachines(tx, [machineId]);
      const meters = await selectMeters(tx, [machineId]);
      const figures = (await selectFigures(tx, [id])).get(id) ?? new Map();
      const told = fed(figures, { meters, at });
      const checked = await checkFigures(tx, { machineId, sha256, figures, at, fed: told, isTold: !(await isSealed(unit, caller, siteId)) });
      if (!checked.ok) return checked;
      const entries = told.readings.map(({ meterId, element, value }) => ({ meterId, value: String(value), readAgain: true, path: [element] }));
      const { readings, wrong } = await checkReadings(tx, entries, { meters, at, occasion: 'collection', allAt: null, newId: deps.newId });
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      if (!(await markAccepted(tx, { id, now }))) return refused('wrong-state');
      return followingMeters(tx, { machineId, from: at, sourceId: id, now, newId: deps.newId }, async () => {
        await writeReadings(tx, readings, { meters, occasion: 'collection', collectionId, at, readBy: null, now, tries: null });
        return readBack(unit, caller, id);
      });
    },
    { constraints: { audit_file_accepted_once: { code: 'wrong-state', detail: 'Another file of this machine is accepted for the collection.' } } },
  );
}
