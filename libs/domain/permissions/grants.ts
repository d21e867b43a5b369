import type { Role, Scope } from './role';

/**
 * What a row of the table grants to a role: `always`, at every site and in every state; `ownSites`, only at the sites that
 * the member is bound to, elsewhere the thing does not exist for them; `states`, only while the thing is in one of these.
 */
export type Grant = { readonly sites: 'every' | 'own'; readonly states: readonly string[] | 'every' };
export type Row = {
  readonly scope: Scope | 'session-only';
  readonly grants: { readonly [role in Role]?: Grant };
};

export const always: Grant = { sites: 'every', states: 'every' };
export const ownSites: Grant = { sites: 'own', states: 'every' };
export const whileIn = (...states: string[]): Grant => ({ sites: 'every', states });
export const ownSitesWhileIn = (...states: string[]): Grant => ({ sites: 'own', states });

/** People who answer for the books and people who check them. */
export const office = { owner: always, bookkeeper: always } as const;
export const officeAndReview = { ...office, reviewer: always, auditor: always } as const;
/** Everybody employed by the operator; site managers are employed by the site. */
export const staff = { ...officeAndReview, collector: always, custodian: always } as const;

export const row = (scope: Row['scope'], grants: Row['grants']): Row => ({ scope, grants });
