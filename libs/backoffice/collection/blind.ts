import { refused, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { permissions, type Row } from '#domain/permissions/table';
import type { Role } from '#domain/permissions/role';
import type { Caller } from '../caller';
import { mayActAlone, personBehind, policyAt } from '../policy/policy';
import { insertLooks, selectActorsOf, selectCountedOnVisit, selectLooks, selectPersonOf, selectWaitingSites, selectSitesInHand } from './blind.sql';

/** The part of a use case that the rule needs. */
type Asking = { readonly tx: TenantTransaction; readonly now: Date };

/** `byRole`: the caller's role counts, and so is kept from earlier counts as well. `actors`: under which names the caller enters things. */
export type Seal = { readonly sites: readonly string[]; readonly byRole: boolean; readonly actors: readonly string[] };

/** Roles that count and answer for no figure. A token has the role of its maker's choice, whatever else it may not do. */
export function countsByRole(role: Role): boolean {
  const counts: Row = permissions['collection.count'];
  const reviews: Row = permissions['variance.read'];
  return counts.grants[role] !== undefined && reviews.grants[role] === undefined;
}

/**
 * The sites of which the caller is shown nothing that tells what a box should hold: no expected cash, no reading, no
 * estimate, no difference, no takings (25 CFR 543.17(g)(5)). One rule for every route but those of settlements:
 * while a collection of a site is not accepted, was discarded and not counted anew, or a visit there is kept aside, these are sealed
 * - for every role that counts, and for every token of such a role, whatever its scopes;
 * - for everybody else who has a hand in it: who collected, held the key, read its meters or entered any of it, in person
 *   or by a token of their own.
 * Owners, bookkeepers, reviewers and auditors who do not count see it, and that they looked is on record: what they count
 * there afterwards is labelled as not blind. In a business of one person nothing is sealed, and everything labelled.
 *
 * Settlements, statements and what-ifs are not sealed: on terms that go by the meters their lines tell whoever may read them what
 * meters said of earlier, accepted collections, with a hand in a later count or not. Nor is anything sealed,
 * or a look recorded, while nothing of the site waits.
 */
export async function sealFor({ tx, now }: Asking, caller: Caller, shown: { readonly siteIds: readonly string[] | 'every' }): Promise<Seal> {
  const nothing: Seal = { sites: [], byRole: false, actors: [] };
  if (caller.kind === 'system') return nothing;
  const waiting = await selectWaitingSites(tx, shown.siteIds);
  if (waiting.length === 0) return nothing;
  const behind = await personBehind(tx, tx.actor);
  const actors = await selectActorsOf(tx, behind);
  if (countsByRole(caller.role)) return { sites: waiting, byRole: true, actors };
  const personId = caller.kind === 'user' ? caller.personId : await selectPersonOf(tx, behind);
  const inHand = await selectSitesInHand(tx, { actors, personId, siteIds: waiting });
  const alone = inHand.length > 0 && (await mayActAlone(tx, await policyAt(tx, now)));
  const sites = alone ? [] : inHand;
  const counts: Row = permissions['collection.count'];
  if (counts.grants[caller.role] !== undefined) await insertLooks(tx, { by: behind, siteIds: waiting.filter((id) => !sites.includes(id)), now });
  return { sites, byRole: false, actors };
}

/** Whether a site is sealed for the caller. */
export async function isSealed(asking: Asking, caller: Caller, siteId: string): Promise<boolean> {
  return (await sealFor(asking, caller, { siteIds: [siteId] })).sites.length > 0;
}

/** Refuses what tells of these sites, where one of them is sealed for the caller. */
export async function refusedWhileSealed(asking: Asking, caller: Caller, siteIds: readonly string[]): Promise<Outcome<never> | null> {
  const { sites } = await sealFor(asking, caller, { siteIds });
  if (sites.length === 0) return null;
  return refused('not-allowed-in-state', { detail: 'A collection there is being counted, and you count or may count it: this is shown when it is accepted.' });
}

/** Whether nobody who entered these counts had been shown before what the boxes should hold, or read it off the meters. */
export async function isBlind(tx: TenantTransaction, collectionId: string, entered: readonly { readonly recorded_by: string; readonly recorded_at: Date }[]): Promise<boolean> {
  return !(await knewBefore(tx, collectionId, [...entered, ...(await selectCountedOnVisit(tx, collectionId))])).includes(true);
}

/** Of entries of a collection, one by one: whether who made it knew by then what the boxes should hold, in person or by a token. */
export async function knewBefore(tx: TenantTransaction, collectionId: string, counts: readonly { readonly recorded_by: string; readonly recorded_at: Date }[]): Promise<boolean[]> {
  const looks = await selectLooks(tx, collectionId);
  if (looks.length === 0) return counts.map(() => false);
  const behind = new Map<string, string>();
  for (const actor of [...counts.map((count) => count.recorded_by), ...looks.map((look) => look.looked_by)]) if (!behind.has(actor)) behind.set(actor, await personBehind(tx, actor));
  return counts.map((count) => looks.some((look) => behind.get(look.looked_by) === behind.get(count.recorded_by) && look.looked_at <= count.recorded_at));
}
