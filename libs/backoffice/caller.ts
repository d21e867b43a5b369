import type { Actor } from '#domain/permissions/role';
import type { Action } from '#domain/permissions/table';

/** A request that must take effect once, however often it arrives. */
export type Once = {
  /** The caller's Idempotency-Key, 1 to 200 characters; keys of two actors never meet. */
  readonly key: string;
  /** Method and path, e.g. `POST /v1/sites`. */
  readonly route: string;
  /** Digests of the body: the one that is kept first, then those under which the same body may have been kept before. */
  readonly bodyDigests: readonly [Uint8Array, ...Uint8Array[]];
  /** Status that the route answers with, kept beside the answer. */
  readonly status: number;
};

/** Who asks for a use case, and what came with the request. Commands and jobs leave out what only requests have. */
export type Caller = Actor & {
  /** Id that logs and audit trail share. */
  readonly requestId?: string;
  /** Action that the route declared; a use case that asks for another one is a bug that stops the request. */
  readonly action?: Action;
  readonly once?: Once;
  /** BCP 47 tag of the language in which sentences are asked for; left out where none is. */
  readonly language?: string;
};
