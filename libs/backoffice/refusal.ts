import { refusedFields, type WrongField } from '#contracts/outcome';
import type { Failure, ProblemCode } from '#contracts/problem';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';

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

/** `place` goes before the currency that is asked for, as in "Site QUAY is kept in". */
export function otherCurrency(path: WrongField['path'], place: string, currency: CurrencyCode): WrongField {
  return { path, code: 'other-currency', message: `${place} ${currency}.`, values: { currency } };
}

export function unknownMachine(path: WrongField['path'], machineTag: string): WrongField {
  return { path, code: 'unknown-machine', message: `There is no machine ${machineTag}.`, values: { machine: machineTag } };
}

/** `where` as in "at this site"; `instead`: where the machine was on that day, as in "it stood at no site". */
export function notPlacedHere(path: WrongField['path'], { machineTag, where, day, instead }: { readonly machineTag: string; readonly where: string; readonly day: LocalDate; readonly instead?: string }): WrongField {
  return { path, code: 'not-placed-here', message: `Machine ${machineTag} did not stand ${where} on ${day}${instead === undefined ? '' : `; ${instead}`}.`, values: { machine: machineTag } };
}

/** The id in the field belongs to nothing of this operator. */
export function unknownReference(path: WrongField['path'], what: string): Failure {
  return fieldFailure('invalid-command', { path, code: 'unknown', message: `There is no ${what} with this id.` });
}
