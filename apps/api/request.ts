import type { Caller } from '#backoffice/caller';
import type { SignedIn } from '#backoffice/identity/session';
import type { ProblemCode } from '#contracts/problem';

declare module 'fastify' {
  interface FastifyRequest {
    /** Who acts at which operator; set by the gatekeeper on routes of an operator. */
    caller?: Caller;
    /** The session that came by cookie; set by the gatekeeper on routes that need an account. */
    signedIn?: SignedIn;
    /** What the request was refused with, for its log line and the metrics. */
    problemCode?: ProblemCode;
  }
}
