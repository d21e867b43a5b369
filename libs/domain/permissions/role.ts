/** What a member of an operator is there for. One person has one role per operator. */
export const roles = ['owner', 'bookkeeper', 'collector', 'custodian', 'site-manager', 'reviewer', 'auditor'] as const;
export type Role = (typeof roles)[number];

/** What an API token may be used for. A token also has a role: it may do what both allow, never more. */
export const scopes = ['read', 'set-up', 'collect', 'settle', 'custody'] as const;
export type Scope = (typeof scopes)[number];

/**
 * Who acts. A `user` came through sign-in, a `token` through a bearer token, `system` is the program itself
 * (a queue job, the demo, a command on the server's own terminal) and is trusted by construction:
 * nothing that arrives over the network can become one.
 */
export type Actor =
  | {
      readonly kind: 'user';
      readonly tenantId: string;
      /** Id of the user account. */
      readonly id: string;
      readonly role: Role;
      /** Sites that a site manager is bound to; empty for every other role, which is bound to none. */
      readonly siteIds: readonly string[];
      /** The person of this operator whom the account belongs to, if it says so. */
      readonly personId: string | null;
    }
  | {
      readonly kind: 'token';
      readonly tenantId: string;
      /** Id of the API token. */
      readonly id: string;
      readonly role: Role;
      readonly scopes: readonly Scope[];
    }
  | {
      readonly kind: 'system';
      readonly tenantId: string;
      /** Name of the job or command, as the audit trail shows it. */
      readonly id: string;
    };
