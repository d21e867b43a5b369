import type { Outcome, WrongField } from '#contracts/outcome';
import type { FieldError } from '#contracts/problem';
import { can } from '#domain/permissions/can';
import type { Caller } from '../../caller';
import type { NewCustodyEvent, Recording } from '../../custody/new-event';
import { insertCopies } from '../../custody/make-copies.sql';
import { writeEvents, type CustodyEntry } from '../../custody/record-events';
import { checkAndFit } from '../../machine-lock/fit';
import { groupBy } from '../../meter/to-board';
import type { PerformOptions } from '../../perform';
import type { FileError } from '../stage.sql';
import { readKeyDirectory, wrongLines, type KeyDirectory } from './check-lines';
import { insertKeyCodes, selectNoons } from './keys.sql';
import type { CopyLine, KeyLine, LockLine } from './read-line';

/** Keys come by a file from whoever may make copies and fit locks by hand, too. */
export const mayEnterKeys = (caller: Caller): boolean => can(caller, 'key-copy.make') && can(caller, 'machine-lock.fit') && can(caller, 'key-code.create');

type Entering = { readonly recording: Recording; readonly fileName: string; readonly directory: KeyDirectory; readonly codeIds: ReadonlyMap<string, string> };

/** What did not fit, and what is to be entered in the evidence log where everything did. */
export type EnteredKeys = { readonly errors: FileError[]; readonly entries: readonly CustodyEntry[] };

/** A file of one hand-out of thousands of copies is some events all the same: an event is locked, hashed and shown as a whole. */
const MOST_COPIES_OF_EVENT = 200;

/** What two at once can only learn from the database, of whoever enters a file of keys or tries to. */
export const keyFileConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  key_code_tenant_id_code_key: { code: 'file-outdated' },
  key_copy_tenant_id_number_key: { code: 'file-outdated' },
  machine_lock_one_in_a_place: { code: 'file-outdated' },
  machine_lock_not_of_a_lost_cut: { code: 'file-outdated' },
};

/**
 * Enters a file of keys: cuts that are new, locks, copies as made into their stores, and where each copy is now. The rules are those
 * of the books, asked where they always are: to know what is wrong with a file it is entered and undone. Gives what did not fit; then
 * whoever called undoes the rest. The evidence log is left to the caller, so that nobody waits for it while a file is tried.
 */
export async function enterKeys(recording: Recording, file: { fileName: string; lines: readonly KeyLine[] }): Promise<EnteredKeys> {
  const { tx, now, newId } = recording;
  const { lines, fileName } = file;
  const directory = await readKeyDirectory(tx, lines);
  const wrong = wrongLines(lines, directory);
  if (wrong.length > 0) return { errors: wrong, entries: [] };
  const fresh = [...new Map(lines.flatMap((line) => (directory.codes.has(line.code) ? [] : [[line.code, { ...line, id: newId() }] as const]))).values()];
  const outside = new Set(lines.flatMap((line) => (line.outsideCopies === true ? [line.code] : [])));
  await insertKeyCodes(tx, { codes: fresh.map((each) => ({ ...each, outsideCopies: outside.has(each.code) })), now });
  const codeIds = new Map([...[...directory.codes].map(([code, { id }]) => [code, id] as const), ...fresh.map(({ code, id }) => [code, id] as const)]);
  const entering: Entering = { recording, fileName, directory, codeIds };
  const ofLocks = await enterLocks(entering, lines.filter((line) => line.about === 'lock'));
  const { errors, entries } = await enterCopies(entering, lines.filter((line) => line.about === 'copy'));
  return { errors: [...ofLocks, ...errors].sort((first, second) => first.lineNumber - second.lineNumber), entries };
}

const lockColumns: Readonly<Record<string, string>> = { machineId: 'machine', keyCodeId: 'code', place: 'lock', fittedAt: 'fitted_on' };

async function enterLocks({ recording, directory, codeIds }: Entering, lines: readonly LockLine[]): Promise<FileError[]> {
  const { tx, now, newId } = recording;
  const noons = await selectNoons(tx, { days: lines.flatMap(({ fittedOn }) => fittedOn ?? []), now });
  const locks = lines.map((line) => ({
    id: newId(),
    machineId: directory.machines.get(line.machine) ?? '',
    place: line.lock,
    opens: line.opens,
    keyCodeId: codeIds.get(line.code) ?? '',
    fittedAt: (line.fittedOn === null ? now : (noons.get(line.fittedOn) ?? now)).toISOString(),
  }));
  const fitted = await checkAndFit(tx, { locks, now, path: (index) => [index] });
  return errorsOf(fitted).flatMap(({ path: [index, field = ''], code }): FileError[] => {
    const line = lines[Number(index)];
    return line === undefined ? [] : [{ lineNumber: line.lineNumber, column: lockColumns[field] ?? '', code, value: field === 'place' ? line.lock : field === 'machineId' ? line.machine : field === 'keyCodeId' ? line.code : '' }];
  });
}

async function enterCopies(entering: Entering, lines: readonly CopyLine[]): Promise<EnteredKeys> {
  const { tx, now, newId } = entering.recording;
  const copies = lines.map((line) => ({ line, id: newId() }));
  for (const [code, ofCode] of groupBy(copies, ({ line }) => line.code)) {
    await insertCopies(tx, { copies: ofCode.map(({ id, line }) => ({ id, number: line.copy })), keyCodeId: entering.codeIds.get(code) ?? '', duplicatedFromId: null, now });
  }
  const errors: FileError[] = [];
  const entries: CustodyEntry[] = [];
  // A group after the other, so that one that does not fit hides nothing of the next.
  const take = async (event: EventOfGroup, group: readonly Copy[]): Promise<void> => {
    for (let start = 0; start < group.length; start += MOST_COPIES_OF_EVENT) {
      const recorded = await record(entering, event, group.slice(start, start + MOST_COPIES_OF_EVENT));
      errors.push(...recorded.errors);
      entries.push(...recorded.entries);
    }
  };
  for (const [store, ofStore] of groupBy(copies, ({ line }) => line.store)) await take({ kind: 'made', store }, ofStore);
  const out = copies.filter(({ line }) => line.with !== null);
  for (const ofHolder of groupBy(out, ({ line }) => `${line.store} ${line.with} ${line.found} ${line.class}`).values()) {
    const [{ line: { found, store } }] = ofHolder;
    await take({ kind: found ? 'seen' : 'issued', store }, ofHolder);
  }
  return { errors, entries };
}

type EventOfGroup = { readonly kind: 'made' | 'issued' | 'seen'; readonly store: string };
type Copy = { readonly line: CopyLine; readonly id: string };

/** One event for a group of copies, or what speaks against it, by line. */
async function record({ recording, fileName, directory }: Entering, of: EventOfGroup, copies: readonly Copy[]): Promise<EnteredKeys> {
  const store = { kind: 'store', id: directory.stores.get(of.store) ?? '' } as const;
  const holder = directory.holders.get(copies[0]?.line.with ?? '')?.holder ?? null;
  const event: NewCustodyEvent = {
    kind: of.kind,
    keyCopyIds: copies.map(({ id }) => id),
    from: of.kind === 'issued' ? store : null,
    to: of.kind === 'made' ? store : holder,
    reason: `As the file says: ${fileName}`,
  };
  const written = await writeEvents(recording, [event]);
  if (written.ok) return { errors: [], entries: written.value.entries };
  const errors = errorsOf(written).flatMap(({ path: [field, index], code }) =>
    copies
      .filter((_, place) => field !== 'keyCopyIds' || index === place)
      .map(({ line }): FileError => ({ lineNumber: line.lineNumber, column: of.kind === 'made' ? 'copy' : 'with', code, value: line.with ?? line.copy })),
  );
  return { errors, entries: [] };
}

/** The fields of a refusal as they were named before they became pointers. */
function errorsOf(outcome: Outcome<unknown>): { path: WrongField['path']; code: string }[] {
  if (outcome.ok) return [];
  const { errors } = outcome.failure;
  if (errors === undefined) throw new Error(`a file of keys was refused as ${outcome.failure.code}`);
  return errors.map((error: FieldError) => {
    const steps = 'pointer' in error ? error.pointer.split('/').slice(1) : [];
    return { path: steps.map((step) => (/^\d+$/.test(step) ? Number(step) : step)), code: error.code };
  });
}
