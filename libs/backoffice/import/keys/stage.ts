import type { ImportFile } from '#contracts/import-file';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Caller } from '../../caller';
import type { Backoffice } from '../../dependencies';
import { perform } from '../../perform';
import type { Header } from '../columns';
import { ErrorTally } from '../error-tally';
import { toImportFile } from '../read';
import { readLines, UnreadableFile } from '../read-file';
import { headerOf, refusedUnreadable } from '../refused-file';
import { selectFile } from '../read.sql';
import { spooled, type Spooled } from '../spool';
import { insertErrors, insertFile, operatorDecimalMark, updateFile, type FileError } from '../stage.sql';
import { keyColumns, type KeyColumnName } from './columns';
import { enterKeys, keyFileConstraints, mayEnterKeys } from './enter';
import { insertKeyRows } from './keys.sql';
import { readKeyLine, type KeyLine } from './read-line';

/** An operator has hundreds of keys, or thousands; a file of more is another one by mistake. */
const MOST_LINES = 10_000;

/**
 * Takes in a file of keys and locks: every line is held against the others and the books, and entered for a trial that is undone.
 * Refuses with `file-not-readable` when there are no lines to speak of.
 */
export async function stageKeys(deps: Backoffice, caller: Caller, command: { fileName: string; bytes: AsyncIterable<Uint8Array> }): Promise<Outcome<ImportFile>> {
  return spooled(command.bytes, (file) =>
    perform<ImportFile>(deps, caller, 'import.create', async ({ tx, now }) => {
      if (!mayEnterKeys(caller)) return refused('not-allowed', { detail: 'The action is key-copy.make.' });
      const read = await readKeyFile(file);
      if (!read.ok) return read;
      const { lines, errors, rowCount, delimiter } = read.value;
      const id = deps.newId();
      const { fileName } = command;
      await insertFile(tx, { id, kind: 'keys', fileName, byteSize: file.byteSize, sha256: file.sha256, decimalMark: await operatorDecimalMark(tx), uploadedAt: now });
      const tally = new ErrorTally();
      tally.add(errors);
      if (tally.count === 0) {
        const trial = await undone((work) => tx.underSavepoint(work), () => enterKeys({ tx, now, caller, newId: deps.newId }, { fileName, lines }));
        tally.add(trial.errors);
      }
      if (tally.count === 0) await insertKeyRows(tx, { id, lines });
      await insertErrors(tx, id, tally.first);
      await updateFile(tx, { id, state: tally.count === 0 ? 'staged' : 'refused', delimiter, rowCount, errorCount: tally.count, errorCounts: tally.byCode });
      const row = await selectFile(tx, id);
      if (row === undefined) throw new Error('the file that was just written is not there');
      return done(toImportFile(row));
    }, { constraints: keyFileConstraints }),
  );
}

type ReadFile = { readonly lines: KeyLine[]; readonly errors: FileError[]; readonly rowCount: number; readonly delimiter: string };

async function readKeyFile(file: Spooled): Promise<Outcome<ReadFile>> {
  const [lines, errors]: [KeyLine[], FileError[]] = [[], []];
  let header: Header<KeyColumnName> | null = null;
  let delimiter = ',';
  let rowCount = 0;
  try {
    for await (const piece of readLines(file.open(), (found) => (delimiter = found))) {
      for (const line of piece) {
        if (header === null) {
          const first = headerOf(line, keyColumns);
          if (!first.ok) return first;
          header = first.value;
          continue;
        }
        rowCount += 1;
        if (rowCount > MOST_LINES) return refused('file-not-readable', { detail: `A file of keys has ${MOST_LINES.toLocaleString('en')} lines at most.` });
        const read = readKeyLine({ line, header });
        if (Array.isArray(read)) errors.push(...read);
        else lines.push(read);
      }
    }
  } catch (error) {
    if (error instanceof UnreadableFile) return refusedUnreadable(error);
    throw error;
  }
  return rowCount === 0 ? refused('file-not-readable', { detail: 'There is no line below the first.' }) : done({ lines, errors, rowCount, delimiter });
}

class Undone<Value> extends Error {
  constructor(readonly answer: Value) {
    super('undone on purpose');
  }
}

/** What work answers, with nothing left of what it wrote. */
async function undone<Value>(underSavepoint: (work: () => Promise<never>) => Promise<never>, work: () => Promise<Value>): Promise<Value> {
  let trial: Undone<Value> | undefined;
  try {
    return await underSavepoint(async () => {
      trial = new Undone(await work());
      throw trial;
    });
  } catch (error) {
    if (trial !== undefined && error === trial) return trial.answer;
    throw error;
  }
}
