import type { Problem } from '#contracts/problem';

/** Why a request gave no answer that can be shown, as data. */
export type Trouble =
  /** The api refused, and says why (RFC 9457). */
  | { readonly kind: 'refused'; readonly problem: Problem }
  /** No answer came. */
  | { readonly kind: 'unreachable' }
  /** Something answered that is not the api. */
  | { readonly kind: 'unreadable'; readonly status: number };

/** Carries the trouble through the query library, which tells failure from success by what is thrown. */
export class RequestError extends Error {
  constructor(readonly trouble: Trouble) {
    super(trouble.kind === 'refused' ? trouble.problem.code : trouble.kind);
  }
}

export function troubleOf(error: unknown): Trouble | null {
  return error instanceof RequestError ? error.trouble : null;
}

/** Set where the api could not be asked, or cannot answer now: no connection, a proxy that answers for it, an error of its own. */
export function isAway(error: unknown): boolean {
  const trouble = troubleOf(error);
  return trouble !== null && (trouble.kind !== 'refused' || trouble.problem.status >= 500);
}

/** Code of the problem, if the api refused. */
export function codeOf(error: unknown): string | null {
  const trouble = troubleOf(error);
  return trouble?.kind === 'refused' ? trouble.problem.code : null;
}

/** Set where what was asked for may have been done all the same: no answer came, or one says that it was done. */
export function mayBeDone(error: unknown): boolean {
  return troubleOf(error)?.kind !== 'refused' || codeOf(error) === 'idempotency-key-reused';
}

/** Reads a refusal out of a response that is not a success. Never throws. */
export async function troubleIn(response: Response): Promise<Trouble> {
  const type = response.headers.get('content-type') ?? '';
  if (type.includes('json')) {
    const body: unknown = await response.json().catch(() => null);
    if (isProblem(body)) return { kind: 'refused', problem: body };
  }
  return { kind: 'unreadable', status: response.status };
}

function isProblem(body: unknown): body is Problem {
  return typeof body === 'object' && body !== null && 'code' in body && 'title' in body && typeof body.code === 'string';
}
