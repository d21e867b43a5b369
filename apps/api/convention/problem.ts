import { problems, type Failure, type Problem } from '#contracts/problem';

/** Carries a refusal out of a guard or parser. Use cases return theirs as data instead. */
export class ProblemException extends Error {
  constructor(readonly failure: Failure) {
    super(failure.code);
  }
}

/** The document for a refusal, as RFC 9457 lays it out. */
export function problemDocument(failure: Failure, requestId: string): Problem {
  const { status, title, advice } = problems[failure.code];
  return {
    type: `/reference/problems#${failure.code}`,
    title,
    status,
    code: failure.code,
    ...(failure.detail === undefined ? {} : { detail: failure.detail }),
    advice,
    requestId,
    ...(failure.errors === undefined || failure.errors.length === 0 ? {} : { errors: [...failure.errors] }),
  };
}
