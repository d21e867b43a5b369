import { DatabaseError } from 'pg';

/** SQLSTATE codes (PostgreSQL manual, appendix A) that the program reacts to. */
export const sqlStates = {
  insufficientPrivilege: '42501',
  serializationFailure: '40001',
  deadlockDetected: '40P01',
  lockNotAvailable: '55P03',
  queryCanceled: '57014',
  characterNotInRepertoire: '22021',
  untranslatableCharacter: '22P05',
  restrictViolation: '23001',
  foreignKeyViolation: '23503',
  uniqueViolation: '23505',
  checkViolation: '23514',
  exclusionViolation: '23P01',
  /** Ours, raised by app.refuse_change(). */
  appendOnly: 'LL001',
} as const;

/**
 * PostgreSQL's own words behind an error that `withTenant` or `attempt` threw, through pg or through Prisma;
 * `undefined` for every other error.
 */
export function serverErrorOf(error: unknown): DatabaseError | undefined {
  return error instanceof DatabaseError ? error : undefined;
}

/**
 * Prisma turns PostgreSQL's errors into its own and drops, for most codes, the name of the constraint. The transaction
 * saw the original: this gives it back, with Prisma's as its cause. Any other error comes back as it is.
 */
export function originalError(thrown: { readonly error: unknown; readonly lastServerError: unknown }): unknown {
  const { error, lastServerError } = thrown;
  const sqlState = sqlStateBehindPrisma(error);
  if (sqlState === undefined || !(lastServerError instanceof DatabaseError) || lastServerError.code !== sqlState) return error;
  lastServerError.cause ??= error;
  return lastServerError;
}

type PrismaError = { meta?: { driverAdapterError?: { cause?: { originalCode?: unknown } } } };

function sqlStateBehindPrisma(error: unknown): string | undefined {
  if (!(error instanceof Error)) return undefined;
  const code = (error as PrismaError).meta?.driverAdapterError?.cause?.originalCode;
  return typeof code === 'string' ? code : undefined;
}
