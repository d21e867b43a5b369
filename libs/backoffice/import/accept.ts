import { formatInstant } from '#contracts/format';
import type { ImportFile } from '#contracts/import-file';
import { done, refused, type Outcome } from '#contracts/outcome';
import { acceptCollections } from '../collection/accept-collections';
import type { Caller } from '../caller';
import { enterInLog } from '../custody/record-events';
import type { Backoffice } from '../dependencies';
import { perform, type Unit } from '../perform';
import { takeOverOfFile } from '../refund-claim/take-over.sql';
import { countOutdatedLines, enterCollections, giveTimeForFile, lockFile, markFile, selectAcceptedTwin, type LockedFile } from './accept.sql';
import { enterKeys, keyFileConstraints, mayEnterKeys } from './keys/enter';
import { selectKeyRows } from './keys/keys.sql';
import { toImportFile } from './read';
import { selectFile } from './read.sql';

/**
 * Enters a staged file in the books: every line or none, in one transaction. Its collections are accepted with it, since
 * the file was checked as a whole and somebody answers for it. The same bytes enter once.
 */
export async function acceptImport(deps: Backoffice, caller: Caller, id: string): Promise<Outcome<ImportFile>> {
  return perform(
    deps,
    caller,
    'import.accept',
    async (unit) => {
      const { tx, now } = unit;
      const file = await lockWaitingFile(unit, id);
      if (!file.ok) return file;
      const twin = await selectAcceptedTwin(tx, file.value);
      if (twin !== undefined) return refused('file-accepted-before', { detail: `As ${twin.file_name}, accepted at ${formatInstant(twin.accepted_at)}.` });
      const entered = file.value.kind === 'keys' ? await enterKeyFile(deps, { unit, caller, file: file.value }) : await enterCollectionFile(deps, { unit, id });
      if (!entered.ok) return entered;
      await markFile(tx, { id, state: 'accepted', at: now });
      return readBack(unit, id);
    },
    {
      constraints: {
        import_file_accepted_once: { code: 'file-accepted-before' },
        collection_visit_once: { code: 'file-outdated' },
        meter_reading_once: { code: 'file-outdated' },
        ...keyFileConstraints,
      },
    },
  );
}

async function enterCollectionFile(deps: Backoffice, { unit: { tx, now }, id }: { unit: Unit; id: string }): Promise<Outcome<unknown>> {
  await giveTimeForFile(tx);
  const outdated = await countOutdatedLines(tx, id);
  if (outdated > 0) return refused('file-outdated', { detail: `Lines that no longer fit: ${outdated}.` });
  const collectionIds = await enterCollections(tx, { id, recordedAt: now });
  await takeOverOfFile(tx, id);
  return acceptCollections(tx, { collectionIds, now, newId: deps.newId });
}

async function enterKeyFile(deps: Backoffice, { unit: { tx, now }, caller, file }: { unit: Unit; caller: Caller; file: LockedFile }): Promise<Outcome<null>> {
  if (!mayEnterKeys(caller)) return refused('not-allowed', { detail: 'The action is key-copy.make.' });
  const recording = { tx, now, caller, newId: deps.newId };
  const { errors: wrong, entries } = await enterKeys(recording, { fileName: file.file_name, lines: await selectKeyRows(tx, file.id) });
  if (wrong.length > 0) return refused('file-outdated', { detail: `Lines that no longer fit: ${new Set(wrong.map(({ lineNumber }) => lineNumber)).size}.` });
  await enterInLog(recording, entries);
  return done(null);
}

/** Sets a waiting or refused file aside. It stays in the list, its lines are gone. */
export async function discardImport(deps: Backoffice, caller: Caller, id: string): Promise<Outcome<ImportFile>> {
  return perform(deps, caller, 'import.create', async (unit) => {
    const file = await lockFile(unit.tx, id);
    if (file === undefined) return refused('not-found');
    if (file.state === 'accepted' || file.state === 'discarded') return refused('wrong-state', { detail: `The file is ${file.state}.` });
    await markFile(unit.tx, { id, state: 'discarded', at: unit.now });
    return readBack(unit, id);
  });
}

async function lockWaitingFile({ tx }: Unit, id: string): Promise<Outcome<LockedFile>> {
  const file = await lockFile(tx, id);
  if (file === undefined) return refused('not-found');
  if (file.state === 'staged') return done(file);
  const detail = file.state === 'refused' ? 'The file has errors. Mend it and upload it again.' : `The file is ${file.state}.`;
  return refused('wrong-state', { detail });
}

async function readBack({ tx }: Unit, id: string): Promise<Outcome<ImportFile>> {
  const row = await selectFile(tx, id);
  if (row === undefined) throw new Error('the file that was just written is not there');
  return done(toImportFile(row));
}
