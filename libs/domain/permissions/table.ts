import type { Role, Scope } from './role';

/**
 * Role x action x state, the only place where it is said. A role that a row does not name may not.
 *
 * - `always`: at every site, in every state.
 * - `ownSites`: only at the sites that the member is bound to; elsewhere the thing does not exist for them.
 * - `states`: only while the thing is in one of these; other states look like an unknown thing when the
 *   grant is `ownSites` (a site manager never learns that a draft exists), and are refused as such otherwise.
 *
 * `scope` is what an API token needs for the action; `session-only` actions are closed to tokens, because
 * a leaked token must not be able to make itself a successor.
 */
export type Grant = { readonly sites: 'every' | 'own'; readonly states: readonly string[] | 'every' };
export type Row = {
  readonly scope: Scope | 'session-only';
  readonly grants: { readonly [role in Role]?: Grant };
};

const always: Grant = { sites: 'every', states: 'every' };
const ownSites: Grant = { sites: 'own', states: 'every' };
const whileIn = (...states: string[]): Grant => ({ sites: 'every', states });
const ownSitesWhileIn = (...states: string[]): Grant => ({ sites: 'own', states });

/** People who answer for the books and people who check them. */
const office = { owner: always, bookkeeper: always } as const;
const officeAndReview = { ...office, reviewer: always, auditor: always } as const;
/** Everybody employed by the operator; site managers are employed by the site. */
const staff = { ...officeAndReview, collector: always, custodian: always } as const;

const row = (scope: Row['scope'], grants: Row['grants']): Row => ({ scope, grants });

export const permissions = {
  'operator.read': row('read', { ...staff, 'site-manager': always }),
  'operator.change': row('session-only', { owner: always }),
  'member.read': row('session-only', { owner: always, auditor: always }),
  'member.invite': row('session-only', { owner: always }),
  'member.change': row('session-only', { owner: always }),
  'member.remove': row('session-only', { owner: always }),
  'api-token.read': row('session-only', { owner: always, auditor: always }),
  'api-token.create': row('session-only', { owner: always }),
  'api-token.revoke': row('session-only', { owner: always }),
  'audit-trail.read': row('read', { owner: always, auditor: always }),

  'site.read': row('read', { ...staff, 'site-manager': ownSites }),
  'site.create': row('set-up', office),
  'site.change': row('set-up', office),
  'party.read': row('read', officeAndReview),
  'party.create': row('set-up', office),
  'party.change': row('set-up', office),
  'person.read': row('read', staff),
  'person.create': row('set-up', { ...office, custodian: always }),
  'person.change': row('set-up', { ...office, custodian: always }),
  'person.erase': row('session-only', { owner: always }),
  'machine.read': row('read', { ...staff, 'site-manager': ownSites }),
  'machine.create': row('set-up', office),
  'machine.change': row('set-up', office),
  'placement.read': row('read', { ...staff, 'site-manager': ownSites }),
  'placement.create': row('set-up', office),
  'placement.change': row('set-up', office),
  'placement.end': row('set-up', office),
  'placement.move': row('set-up', office),
  'game.read': row('read', staff),
  'game.create': row('set-up', office),
  'game.change': row('set-up', office),
  'installation.read': row('read', { ...staff, 'site-manager': ownSites }),
  'installation.create': row('set-up', office),
  'installation.change': row('set-up', office),
  'installation.end': row('set-up', office),
  'installation.replace': row('set-up', office),
  // Who looks after the keys, and who looks after those who do.
  'key-code.read': row('read', { ...officeAndReview, custodian: always }),
  'key-code.create': row('custody', { owner: always, custodian: always }),
  'key-code.change': row('custody', { owner: always, custodian: always }),
  'machine-lock.read': row('read', { ...officeAndReview, custodian: always }),
  'machine-lock.fit': row('custody', { owner: always, custodian: always }),
  'machine-lock.remove': row('custody', { owner: always, custodian: always }),
  'machine-lock.change': row('custody', { owner: always, custodian: always }),
  'key-store.read': row('read', { ...officeAndReview, custodian: always }),
  'key-store.create': row('custody', { owner: always, custodian: always }),
  // A custodian does not say who answers for the keys.
  'key-store.appoint': row('custody', { owner: always }),
  'key-place.read': row('read', { ...officeAndReview, custodian: always, 'site-manager': ownSites }),
  'key-place.create': row('custody', { owner: always, custodian: always }),
  'key-place.change': row('custody', { owner: always, custodian: always }),
  'key-ring.read': row('read', { ...officeAndReview, custodian: always }),
  'key-ring.create': row('custody', { owner: always, custodian: always }),
  'key-ring.change': row('custody', { owner: always, custodian: always }),
  'key-exception.read': row('read', { ...officeAndReview, custodian: always }),
  'key-exception.grant': row('session-only', { owner: always }),
  'key-exception.end': row('session-only', { owner: always }),
  'key-copy.read': row('read', { ...officeAndReview, custodian: always }),
  'key-copy.make': row('custody', { owner: always, custodian: always }),
  'custody-event.read': row('read', { ...officeAndReview, custodian: always }),
  // A collector says what they give, take or miss themselves; the use case holds them to it.
  'custody-event.record': row('custody', { owner: always, custodian: always, collector: always }),
  // Everybody who may be given a key, for themselves: a token is nobody who could give or receive.
  'custody.acknowledge': row('session-only', { ...office, reviewer: always, collector: always, custodian: always, 'site-manager': always }),
  'custody.sign': row('custody', { owner: always, custodian: always, collector: always }),
  'custody-link.create': row('custody', { owner: always, custodian: always }),
  // What a key opens, what lies there, and who could open a box.
  'key-reach.read': row('read', { ...officeAndReview, custodian: always }),
  'key-attention.read': row('read', { ...officeAndReview, custodian: always }),
  // A site manager meets the access keys with their own staff, never who holds cash-box keys.
  'key-holding.read': row('read', { ...officeAndReview, custodian: always, 'site-manager': ownSites }),
  // A loss is no secret in the office; who may open, confirm and close is who looks after the keys. A key that was found
  // may have been copied: to let its locks be is the owner's risk alone.
  'key-case.read': row('read', { ...officeAndReview, custodian: always }),
  'key-case.open': row('custody', { owner: always, custodian: always }),
  'key-case.confirm': row('custody', { owner: always, custodian: always }),
  'key-case.close': row('custody', { owner: always, custodian: always }),
  'key-case.end': row('custody', { owner: always }),
  // Counted by a person who stands for it, so never by a token; who collects has their own keys, and says so.
  'key-inventory.read': row('read', { ...officeAndReview, custodian: always }),
  'key-inventory.open': row('custody', { ...office, custodian: always }),
  'key-inventory.count': row('session-only', { ...office, reviewer: always, custodian: always }),
  'key-inventory.attest': row('session-only', { ...office, reviewer: always, custodian: always, collector: always }),
  'key-inventory.close': row('session-only', { ...office, reviewer: always }),
  'own-keys.read': row('read', { ...staff, 'site-manager': always }),
  'tax-area.read': row('read', officeAndReview),
  'tax-area.create': row('set-up', office),
  'tax-area.change': row('set-up', office),
  'tax-rule.read': row('read', officeAndReview),
  'tax-rule.create': row('set-up', office),
  'tax-rule.change': row('set-up', office),
  'law-limit.read': row('read', officeAndReview),
  'law-limit.create': row('set-up', office),
  'law-limit.change': row('set-up', office),
  // What is filed and booked of a tax is of the books, as the journal is.
  'tax-return.read': row('read', { ...office, auditor: always }),
  'tax-return.file': row('settle', office),
  'tax-return.pay': row('settle', office),
  'agreement.read': row('read', { ...officeAndReview, 'site-manager': ownSites }),
  'agreement.create': row('set-up', office),
  'agreement.change': row('set-up', office),
  'agreement.end': row('set-up', office),

  'collection.read': row('read', {
    ...officeAndReview,
    collector: always,
    'site-manager': ownSitesWhileIn('accepted'),
  }),
  'collection.create': row('collect', { ...office, collector: always }),
  'collection.count': row('collect', {
    owner: whileIn('open'),
    bookkeeper: whileIn('open'),
    collector: whileIn('open'),
  }),
  // Whoever carried the cash does not also declare the count right.
  'collection.accept': row('collect', { owner: whileIn('counted'), bookkeeper: whileIn('counted') }),
  'collection.correct': row('collect', { owner: whileIn('counted', 'accepted'), bookkeeper: whileIn('counted', 'accepted') }),
  // Whether who emptied the boxes had a key to them says who holds cash-box keys: nothing for a site.
  'collection-key.read': row('read', { ...officeAndReview, custodian: always }),
  'collection-key.name': row('collect', { ...office, custodian: always }),
  'cashless.read': row('read', officeAndReview),
  'cashless.record': row('collect', office),
  'cashless.correct': row('collect', office),
  'break-in.read': row('read', officeAndReview),
  'break-in.record': row('collect', office),
  'break-in.correct': row('collect', office),
  'import.read': row('read', officeAndReview),
  'import.create': row('collect', office),
  'import.accept': row('collect', office),

  'close.read': row('read', officeAndReview),
  'close.start': row('settle', office),
  'settlement.read': row('read', { ...officeAndReview, 'site-manager': ownSitesWhileIn('issued') }),
  'settlement.preview': row('read', officeAndReview),
  'settlement.review': row('settle', {
    owner: whileIn('draft'),
    bookkeeper: whileIn('draft'),
    reviewer: whileIn('draft'),
  }),
  'settlement.recompute': row('settle', { owner: whileIn('draft', 'reviewed'), bookkeeper: whileIn('draft', 'reviewed') }),
  'settlement.reopen': row('settle', { owner: whileIn('reviewed'), bookkeeper: whileIn('reviewed'), reviewer: whileIn('reviewed') }),
  'settlement.reverse': row('settle', { owner: whileIn('issued'), bookkeeper: whileIn('issued') }),
  // Asked of a whole close: it issues those of its settlements that are reviewed, and leaves the others.
  'settlement.issue': row('settle', office),
  'statement.read': row('read', { ...officeAndReview, 'site-manager': ownSitesWhileIn('issued') }),
  'what-if.preview': row('read', officeAndReview),
  'open-item.read': row('read', { ...officeAndReview, 'site-manager': ownSites }),
  'open-item.hold': row('settle', office),
  'open-item.write-off': row('settle', { owner: always }),
  'payment.read': row('read', { ...officeAndReview, 'site-manager': ownSites }),
  'payment.record': row('settle', office),
  'payment.match': row('settle', office),
  'payment.return': row('settle', office),
  'advance.read': row('read', { ...officeAndReview, 'site-manager': ownSites }),
  'advance.give': row('settle', office),
  'advance.pay-back': row('settle', office),
  'advance.write-off': row('settle', { owner: always }),
  // What open items and payments say already, in one list.
  'site-account.read': row('read', { ...officeAndReview, 'site-manager': ownSites }),
  'late-change.read': row('read', officeAndReview),
  'site-view.read': row('read', { 'site-manager': ownSites }),
  // The books of the whole operator: who answers for them, and who audits them.
  'journal.read': row('read', { ...office, auditor: always }),
  'journal.close': row('settle', { owner: always }),
  'evidence.read': row('read', officeAndReview),
  'signing-key.read': row('read', officeAndReview),
  'signing-key.change': row('session-only', { owner: always }),
} as const satisfies { readonly [action: string]: Row };

export type Action = keyof typeof permissions;
export const actions = Object.keys(permissions) as Action[];
