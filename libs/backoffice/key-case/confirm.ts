import type { ConfirmKeyCaseStep, KeyCase } from '#contracts/key-case';
import { done, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { selectKeyCode } from '../key-code/key-code.sql';
import { selectCopies } from '../key-question/reach.sql';
import { fitInItsPlace, holdLock, takeOffLock } from '../machine-lock/machine-lock.sql';
import { perform } from '../perform';
import { fieldFailure, taken } from '../refusal';
import { holdOpenCase } from './close';
import { insertStep, selectCopyOfCode, updateNewCode } from './confirm.sql';
import { selectOpenCase } from './open.sql';
import { isCalledIn } from './plan';
import { readCase } from './read';
import { selectLeftOut, selectSteps, type CaseRow } from './read.sql';

type Step = { readonly tx: TenantTransaction; readonly row: CaseRow; readonly command: ConfirmKeyCaseStep; readonly happenedAt: Date; readonly now: Date; readonly newId: () => string };

/** The one field that says what a step of each kind is about. */
const subjects = {
  'new-code': 'keyCodeId',
  'box-emptied': 'lockId',
  'second-lock': 'lockId',
  'lock-changed': 'lockId',
  'lock-removed': 'lockId',
  'copy-given': 'keyCopyId',
  'copy-called-in': 'keyCopyId',
  'copy-left-out': 'keyCopyId',
} as const;

/** Records that a step of the plan was done. What locks and custody say must bear it out, or be made so by it. */
export async function confirmKeyCaseStep(deps: Backoffice, caller: Caller, command: ConfirmKeyCaseStep & { readonly id: string; readonly stepId?: string | undefined }): Promise<Outcome<KeyCase>> {
  return perform(
    deps,
    caller,
    'key-case.confirm',
    async ({ tx, now }) => {
      const row = await holdOpenCase(tx, command.id);
      if (!row.ok) return row;
      const happenedAt = command.happenedAt === undefined ? now : new Date(command.happenedAt);
      const step: Step = { tx, row: row.value, command, happenedAt, now, newId: deps.newId };
      const shape = wrongShape(step);
      if (shape.length > 0) return refusedFields('invalid-command', shape);
      const wrong = await takeStep(step);
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      await insertStep(tx, {
        id: command.stepId ?? deps.newId(),
        keyCaseId: row.value.id,
        kind: command.kind,
        lockId: command.lockId ?? null,
        keyCopyId: command.keyCopyId ?? null,
        happenedAt,
        recordedAt: now,
        note: command.note,
      });
      return done(await readCase(tx, { id: row.value.id, now, caller }));
    },
    {
      constraints: {
        key_case_step_pkey: taken(['id'], 'a step with this id'),
        machine_lock_one_in_a_place: fieldFailure('invalid-command', { path: ['lockId'], code: 'place-taken', message: 'Another lock was fitted in this place after that time.' }),
        machine_lock_not_of_a_lost_cut: fieldFailure('invalid-command', { path: ['lockId'], code: 'new-code-lost', message: 'Keys of the new key code were lost as well: name another one first.' }),
      },
    },
  );
}

function wrongShape({ command, row, happenedAt, now }: Step): WrongField[] {
  const wrong: WrongField[] = [];
  for (const field of ['keyCodeId', 'lockId', 'keyCopyId'] as const) {
    const needed = subjects[command.kind] === field;
    if (needed && command[field] === undefined) wrong.push({ path: [field], code: 'missing', message: 'Say what this step is about.' });
    if (!needed && command[field] !== undefined) wrong.push({ path: [field], code: 'not-of-this-kind', message: 'This step is not about that: leave it out.' });
  }
  if (happenedAt > now) wrong.push({ path: ['happenedAt'], code: 'in-the-future', message: 'That time has not come yet.' });
  if (happenedAt < row.happened_at && command.kind !== 'copy-called-in') wrong.push({ path: ['happenedAt'], code: 'before-the-case', message: 'That was before the loss was noticed.' });
  return wrong;
}

async function takeStep(step: Step): Promise<WrongField[]> {
  const { kind, keyCodeId, lockId, keyCopyId } = step.command;
  if (kind === 'new-code') return nameNewCode(step, keyCodeId ?? '');
  if (kind === 'copy-given' || kind === 'copy-called-in' || kind === 'copy-left-out') return wrongCopy(step, keyCopyId ?? '');
  return workOnLock(step, lockId ?? '');
}

async function nameNewCode({ tx, row }: Step, keyCodeId: string): Promise<WrongField[]> {
  const refuse = (code: string, message: string): WrongField[] => [{ path: ['keyCodeId'], code, message }];
  const key = await selectKeyCode(tx, keyCodeId);
  if (key === null) return refuse('unknown', 'There is no key code with this id.');
  if (key.id === row.key_code_id) return refuse('same-code', `${key.code} is the key code that was lost.`);
  if (key.class !== row.class) return refuse('other-class', `${key.code} is of the other class.`);
  if ((await selectOpenCase(tx, key.id)) !== null) return refuse('lost-as-well', `Keys of ${key.code} were lost as well.`);
  await updateNewCode(tx, { id: row.id, keyCodeId: key.id });
  return [];
}

async function workOnLock({ tx, row, command, happenedAt, now, newId }: Step, lockId: string): Promise<WrongField[]> {
  const refuse = (code: string, message: string): WrongField[] => [{ path: ['lockId'], code, message }];
  const lock = await holdLock(tx, lockId);
  if (lock === null || lock.key_code_id !== row.key_code_id) return refuse('unknown', `No lock with this id takes ${row.code}.`);
  if (lock.removed_at !== null) return refuse('changed-already', 'This lock was changed or taken off already.');
  if (lock.fitted_at >= happenedAt) return [{ path: ['happenedAt'], code: 'before-fitted', message: 'The lock was not fitted yet at that time.' }];
  if (command.kind === 'box-emptied' || command.kind === 'second-lock') {
    return lock.class === 'cash-box' ? [] : refuse('not-a-cash-box', 'This lock reaches no money.');
  }
  const newCodeId = row.new_key_code_id;
  if (command.kind === 'lock-changed' && newCodeId === null) return [{ path: ['kind'], code: 'new-code-missing', message: 'Name first the key code that takes the place of the old one.' }];
  await takeOffLock(tx, { id: lock.id, at: happenedAt, recordedAt: now, reason: command.note });
  if (command.kind === 'lock-changed' && newCodeId !== null) await fitInItsPlace(tx, { id: newId(), insteadOfId: lock.id, keyCodeId: newCodeId, recordedAt: now });
  return [];
}

async function wrongCopy({ tx, row, command, now }: Step, keyCopyId: string): Promise<WrongField[]> {
  const refuse = (code: string, message: string): WrongField[] => [{ path: ['keyCopyId'], code, message }];
  const codeId = command.kind === 'copy-given' ? row.new_key_code_id : row.key_code_id;
  const copy = codeId === null ? null : await selectCopyOfCode(tx, { id: keyCopyId, keyCodeId: codeId });
  if (codeId === null || copy === null) return refuse('unknown', command.kind === 'copy-given' ? 'No copy of the new cut has this id.' : `No copy of ${row.code} has this id.`);
  const earlier = command.kind === 'copy-left-out' ? await selectLeftOut(tx, { caseId: row.id, now }) : await copiesConfirmed(tx, { caseId: row.id, kind: command.kind });
  if (earlier.includes(keyCopyId)) return refuse('confirmed-already', `${copy.number} was confirmed already.`);
  const present = (await selectCopies(tx, { at: now, knownAt: now, keyCodeIds: [codeId] })).find((each) => each.key_copy_id === keyCopyId);
  if (command.kind === 'copy-given') {
    const given = present?.holder_kind === 'person' || present?.holder_kind === 'place';
    return given ? [] : refuse('not-given', `${copy.number} is with nobody yet: record first to whom it was issued.`);
  }
  if (command.kind === 'copy-left-out') {
    if (isCalledIn(present)) return refuse('called-in', `${copy.number} is back or destroyed.`);
    return present?.state === 'missing' ? refuse('missing', `${copy.number} is missing: nobody has it whom it could be left with.`) : [];
  }
  if (isCalledIn(present)) return [];
  return refuse('not-called-in', present?.state === 'missing' ? `${copy.number} is missing.` : `${copy.number} is still with ${present?.holder_name ?? 'somebody'}: record first that it was returned or destroyed.`);
}

async function copiesConfirmed(tx: TenantTransaction, of: { caseId: string; kind: ConfirmKeyCaseStep['kind'] }): Promise<string[]> {
  return (await selectSteps(tx, [of.caseId])).flatMap(({ kind, key_copy_id: copyId }) => (kind === of.kind && copyId !== null ? [copyId] : []));
}
