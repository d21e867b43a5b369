import { refusedFields, type WrongField } from '#contracts/outcome';
import type { Failure, ProblemCode } from '#contracts/problem';

/** A refusal because of single fields, as data: what `PerformOptions.constraints` holds. */
export function fieldFailure(code: ProblemCode, ...fields: readonly WrongField[]): Failure {
  const outcome = refusedFields(code, fields);
  if (outcome.ok) throw new Error('a refusal cannot be an answer');
  return outcome.failure;
}

/** Another thing of the kind has this code or id already. */
export function taken(path: WrongField['path'], what: string): Failure {
  return fieldFailure('already-exists', { path, code: 'taken', message: `There is ${what} already.` });
}

/** The id in the field belongs to nothing of this operator. */
export function unknownReference(path: WrongField['path'], what: string): Failure {
  return fieldFailure('invalid-command', { path, code: 'unknown', message: `There is no ${what} with this id.` });
}
