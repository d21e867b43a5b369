import { daysInWords, daysOf } from './day-in-words';
import type { FieldError, Failure, ProblemCode } from './problem';

/** What a use case answers: its value, or the reason why not. Exceptions are left to bugs. */
export type Outcome<Value> =
  | { readonly ok: true; readonly value: Value; /** The answer that an earlier request with the same key got. */ readonly replayed?: true }
  | { readonly ok: false; readonly failure: Failure };

export function done<Value>(value: Value): Outcome<Value> {
  return { ok: true, value };
}

/**
 * Refuses with a code of the table. `detail` is shown to the caller: no secrets, no names of other tenants' things. It and
 * the messages of fields are sentences, so that days in them are written as people write them.
 */
export function refused(code: ProblemCode, { detail, errors, ...more }: Omit<Failure, 'code'> = {}): Outcome<never> {
  return {
    ok: false,
    failure: {
      code,
      ...(detail === undefined ? {} : { detail: daysInWords(detail) }),
      ...(errors === undefined ? {} : { errors: errors.map((error) => ({ ...error, ...namedIn(error), message: daysInWords(error.message) })) }),
      ...more,
    },
  };
}

/** One field of the request body and what is wrong with it; `path` leads there, e.g. `['shares', 0, 'party']`. */
export type WrongField = {
  readonly path: readonly (string | number)[];
  /** Lower case with hyphens, stable. */
  readonly code: string;
  readonly message: string;
  /** What the message names beside days, by the names that the catalogues of the console know. */
  readonly values?: Readonly<Record<string, string>>;
};

/** The first two days of a sentence, and what else it was given: they are said in other languages, too. */
function namedIn({ message, values }: Pick<FieldError, 'message' | 'values'>): Pick<FieldError, 'values'> {
  const [day, until] = daysOf(message);
  const named = { ...(day === undefined ? {} : { day }), ...(until === undefined ? {} : { until }), ...values };
  return Object.keys(named).length === 0 ? {} : { values: named };
}

/** Refuses because of single fields of the body. */
export function refusedFields(code: ProblemCode, fields: readonly WrongField[]): Outcome<never> {
  return refused(code, {
    errors: fields.map((field) => ({ ...bodyField(field.path), code: field.code, message: field.message, ...(field.values === undefined ? {} : { values: field.values }) })),
  });
}

/** The same refusal from one level up: its fields lie in the field of that name. */
export function underField<Value>(name: string, outcome: Outcome<Value>): Outcome<Value> {
  if (outcome.ok || outcome.failure.errors === undefined) return outcome;
  const errors = outcome.failure.errors.map((error) => ('pointer' in error ? { ...error, pointer: error.pointer.replace(/^#/, `#/${name}`) } : error));
  return { ok: false, failure: { ...outcome.failure, errors } };
}

/** Names a field of the request body the way problem documents do. */
export function bodyField(path: readonly PropertyKey[]): Pick<FieldError, 'in' | 'pointer'> {
  const steps = path.map((step) => encodeURIComponent(String(step).replaceAll('~', '~0').replaceAll('/', '~1')));
  return { in: 'body', pointer: steps.length === 0 ? '#' : `#/${steps.join('/')}` };
}
