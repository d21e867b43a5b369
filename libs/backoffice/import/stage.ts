import type { ImportFile } from '#contracts/import-file';
import { done, refused, type Outcome } from '#contracts/outcome';
import { localDay } from '../collection/local-day';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform, type Unit } from '../perform';
import { checkLine, type CheckedLine, type DecimalMark, type Directory, type DirectoryMachine } from './check-line';
import { columns, type Header } from './columns';
import { ErrorTally } from './error-tally';
import { selectFile } from './read.sql';
import { toImportFile } from './read';
import { readLines, UnreadableFile } from './read-file';
import { headerOf, refusedUnreadable } from './refused-file';
import { spooled, type Spooled } from './spool';
import { deleteRows, insertErrors, insertFile, insertRows, operatorDecimalMark, keepAwake, selectErrorsAcrossLines, selectMachines, selectOwnPeople, selectSites, updateFile } from './stage.sql';

export type StageCommand = {
  readonly fileName: string;
  readonly bytes: AsyncIterable<Uint8Array>;
  readonly decimalMark?: DecimalMark | undefined;
};

/** As many lines go to the database at once; what is in memory at any time is this and the directory. */
const LINES_PER_INSERT = 2_000;

/**
 * Takes in a file of collections: reads it once, holds every line against the books, and keeps it waiting. Nothing of it
 * counts before somebody accepts it; with a single error none of it ever will.
 * Refuses with `file-not-readable` when there are no lines to speak of (encoding, quotes, first line).
 */
export async function stageImport(deps: Backoffice, caller: Caller, command: StageCommand): Promise<Outcome<ImportFile>> {
  return spooled(command.bytes, (file) =>
    perform<ImportFile>(deps, caller, 'import.create', async (unit) => {
      const id = deps.newId();
      const { tx, now } = unit;
      const decimalMark = command.decimalMark ?? (await operatorDecimalMark(tx));
      await insertFile(tx, { id, kind: 'collections', fileName: command.fileName, byteSize: file.byteSize, sha256: file.sha256, decimalMark, uploadedAt: now });
      const directory = await readDirectory(unit);
      const checked = await checkFile(unit, { id, file, directory, decimalMark }).catch((error: unknown) => {
        if (error instanceof UnreadableFile) return refusedUnreadable(error);
        throw error;
      });
      if (!checked.ok) return checked;
      const row = await selectFile(tx, id);
      if (row === undefined) throw new Error('the file that was just written is not there');
      return done(toImportFile(row));
    }),
  );
}

type Check = { readonly id: string; readonly file: Spooled; readonly directory: Directory; readonly decimalMark: DecimalMark };

async function checkFile(unit: Unit, check: Check): Promise<Outcome<null>> {
  const { tx } = unit;
  const tally = new ErrorTally();
  const waiting: CheckedLine[] = [];
  let delimiter = ',';
  let header: Header | null = null;
  let rowCount = 0;
  const flush = async (): Promise<void> => {
    if (tally.count > 0) await keepAwake(tx);
    else if (waiting.length > 0) await insertRows(tx, check.id, waiting);
    waiting.length = 0;
  };
  for await (const lines of readLines(check.file.open(), (found) => (delimiter = found))) {
    for (const line of lines) {
      if (header === null) {
        const first = headerOf(line, columns);
        if (!first.ok) return first;
        header = first.value;
        continue;
      }
      rowCount += 1;
      const result = checkLine({ line, header, directory: check.directory, decimalMark: check.decimalMark });
      if (Array.isArray(result)) tally.add(result);
      else waiting.push(result);
      if (rowCount % LINES_PER_INSERT === 0) await flush();
    }
  }
  if (rowCount === 0) return refused('file-not-readable', { detail: 'There is no line below the first.' });
  await flush();
  if (tally.count === 0) tally.add(await selectErrorsAcrossLines(tx, check.id));
  if (tally.count > 0) await deleteRows(tx, check.id);
  await insertErrors(tx, check.id, tally.first);
  await updateFile(tx, {
    id: check.id,
    state: tally.count === 0 ? 'staged' : 'refused',
    delimiter,
    rowCount,
    errorCount: tally.count,
    errorCounts: tally.byCode,
  });
  return done(null);
}

async function readDirectory({ tx, now }: Unit): Promise<Directory> {
  const sites = new Map(
    (await selectSites(tx)).map((site) => {
      const today = localDay({ instant: now, timeZone: site.time_zone });
      if (today === null) throw new Error(`No calendar day at ${site.time_zone}`);
      return [site.code, { id: site.id, currency: site.currency, today, openedOn: site.opened_on }];
    }),
  );
  const machines = new Map<string, { id: string; placements: DirectoryMachine['placements'][number][] }>();
  for (const row of await selectMachines(tx)) {
    const machine = machines.get(row.tag) ?? { id: row.machine_id, placements: [] };
    machines.set(row.tag, machine);
    if (row.site_id !== null) machine.placements.push({ id: row.id, siteId: row.site_id, placedOn: row.placed_on, removedOn: row.removed_on });
  }
  const people = new Map((await selectOwnPeople(tx)).map(({ id, code }) => [code, { id }]));
  return { sites, machines, people };
}
