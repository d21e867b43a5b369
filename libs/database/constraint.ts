import { serverErrorOf, sqlStates } from './server-error';
import type { TenantTransaction } from './tenant';

/** A rule of the database that a write would have broken, by the name that the migration gave it. */
export type ConstraintViolation = {
  readonly kind: 'unique' | 'exclusion' | 'foreign-key' | 'check' | 'restrict' | 'append-only';
  /** Name of the constraint; empty for `append-only`, which is a rule of the whole table. */
  readonly constraint: string;
  readonly table: string;
};

const kinds: Readonly<Record<string, ConstraintViolation['kind']>> = {
  [sqlStates.uniqueViolation]: 'unique',
  [sqlStates.exclusionViolation]: 'exclusion',
  [sqlStates.foreignKeyViolation]: 'foreign-key',
  [sqlStates.checkViolation]: 'check',
  [sqlStates.restrictViolation]: 'restrict',
  [sqlStates.appendOnly]: 'append-only',
};

/** Reads the violated rule out of an error that `withTenant` threw; `undefined` when it was something else. */
export function constraintViolationOf(error: unknown): ConstraintViolation | undefined {
  const server = serverErrorOf(error);
  const kind = server?.code === undefined ? undefined : kinds[server.code];
  if (server === undefined || kind === undefined) return undefined;
  return { kind, constraint: server.constraint ?? '', table: server.table ?? '' };
}

export type Attempt<Value> =
  | { readonly ok: true; readonly value: Value }
  | { readonly ok: false; readonly violation: ConstraintViolation };

/**
 * Writes something that a rule of the database may refuse, and tells which one did. What `work` wrote until then is
 * undone; the transaction goes on. Errors of any other kind are thrown. Rules that are deferred speak at COMMIT only:
 * for those, read {@link constraintViolationOf} from what `withTenant` throws.
 */
export async function attempt<Value>(tx: TenantTransaction, work: () => Promise<Value>): Promise<Attempt<Value>> {
  try {
    return { ok: true, value: await tx.underSavepoint(work) };
  } catch (error) {
    const violation = constraintViolationOf(error);
    if (!violation) throw error;
    return { ok: false, violation };
  }
}
