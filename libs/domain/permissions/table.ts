import { always, office, officeAndReview, ownSites, ownSitesWhileIn, row, staff, whileIn, type Row } from './grants';
import { collectionPermissions } from './collection-actions';
import { keyPermissions } from './key-actions';
import { roundPermissions } from './round-actions';
import { meterPermissions } from './meter-actions';
import { moneyOutPermissions } from './money-out-actions';
import { webhookPermissions } from './webhook-actions';

export type { Grant, Row } from './grants';

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
  ...webhookPermissions,
  'audit-trail.read': row('read', { owner: always, auditor: always }),
  'retention.read': row('read', { ...office, auditor: always }),
  // What is removed does not come back: decided by people who are signed in.
  'retention.decide': row('session-only', { owner: always }),
  'retention.hold': row('session-only', { owner: always }),

  // Finds only what each kind's own row lets be read.
  'search.read': row('read', staff),

  'site.read': row('read', { ...staff, 'site-manager': ownSites }),
  'site.create': row('set-up', office),
  'site.change': row('set-up', office),
  'party.read': row('read', officeAndReview),
  'party.create': row('set-up', office),
  'party.change': row('set-up', office),
  'party.erase': row('session-only', { owner: always }),
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
  ...keyPermissions,
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

  ...collectionPermissions,
  ...roundPermissions,
  'earnings.read': row('read', { ...office, auditor: always }),
  // Shown only when nobody counts any more: the room must not know what was found at the machine.
  'field-count.read': row('read', { owner: whileIn('accepted'), bookkeeper: whileIn('accepted'), reviewer: whileIn('accepted'), auditor: whileIn('accepted') }),
  // Expected figures and variances: never for who collects, nor for the site.
  'variance.read': row('read', officeAndReview),
  'variance.explain': row('settle', { owner: whileIn('open'), bookkeeper: whileIn('open'), reviewer: whileIn('open') }),
  // What was found at the machine stands beside what the room found: not for who counts.
  'cash-trail.read': row('read', { ...office, auditor: always }),
  'cash-move.record': row('settle', office),
  'change-fund.create': row('set-up', office),
  'bag.read': row('read', { ...office, collector: always, auditor: always }),
  'bag.handle': row('collect', { ...office, collector: always }),
  // Whoever fills bags binds themselves by the seal.
  'bag.correct': row('collect', office),
  'variance-report.read': row('read', { ...office, auditor: always }),
  // Figures about people: the owner alone, signed in, and each look is recorded.
  'variance.attribute': row('session-only', { owner: always }),
  'tolerance-rule-set.read': row('read', officeAndReview),
  'tolerance-rule-set.record': row('set-up', { owner: always }),
  // Who counts checks the scale, wherever that is.
  'scale-check.read': row('read', { ...officeAndReview, collector: always }),
  'scale-check.record': row('collect', { ...office, collector: always }),
  ...meterPermissions,
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
  'settlement.hold': row('settle', { owner: whileIn('draft'), bookkeeper: whileIn('draft'), reviewer: whileIn('draft') }),
  'settlement.release': row('settle', { owner: whileIn('draft'), bookkeeper: whileIn('draft'), reviewer: whileIn('draft') }),
  // The office notes what a site asks by telephone.
  'settlement.question': row('settle', { owner: whileIn('issued'), bookkeeper: whileIn('issued'), 'site-manager': ownSitesWhileIn('issued') }),
  'settlement.answer': row('settle', { owner: whileIn('issued'), bookkeeper: whileIn('issued') }),
  'settlement.override-flags': row('settle', { owner: whileIn('draft') }),
  'settlement.reverse': row('settle', { owner: whileIn('issued'), bookkeeper: whileIn('issued') }),
  // Asked of a whole close: it issues those of its settlements that are reviewed, and leaves the others.
  'settlement.issue': row('settle', office),
  'statement.read': row('read', { ...officeAndReview, 'site-manager': ownSitesWhileIn('issued') }),
  // All of a month in one file, for the office that files or hands them out.
  'statement-mail.read': row('read', { ...office, auditor: always }),
  'statement-mail.send': row('settle', office),
  'statement-archive.read': row('read', { ...office, auditor: always }),
  'what-if.preview': row('read', officeAndReview),
  'open-item.read': row('read', { ...officeAndReview, 'site-manager': ownSites }),
  'open-item.hold': row('settle', office),
  'open-item.write-off': row('settle', { owner: always }),
  'payment.read': row('read', { ...officeAndReview, 'site-manager': ownSites }),
  'payment.record': row('settle', office),
  'payment.match': row('settle', office),
  'payment.return': row('settle', office),
  ...moneyOutPermissions,
  'advance.read': row('read', { ...officeAndReview, 'site-manager': ownSites }),
  'advance.give': row('settle', office),
  'advance.pay-back': row('settle', office),
  'advance.write-off': row('settle', { owner: always }),
  'advance.undo': row('settle', office),
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
  // Whoever recorded a revocation is no second person (asked by the use case).
  'signing-key.confirm-revocation': row('session-only', { ...office, reviewer: always }),
} as const satisfies { readonly [action: string]: Row };

export type Action = keyof typeof permissions;
export const actions = Object.keys(permissions) as Action[];
