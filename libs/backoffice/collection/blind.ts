import { refused, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { permissions, type Row } from '#domain/permissions/table';
import type { Role } from '#domain/permissions/role';
import type { Caller } from '../caller';
import { mayActAlone, personBehind, policyAt } from '../policy/policy';
import { insertLooks, insertSiteLooks, selectActorsOf, selectCountedOnVisit, selectFirstCounts, selectLooks, selectPersonOf, selectPlannedSites, selectWaitingSites, selectSitesInHand, type Look } from './blind.sql';

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

/** Of which sites something is shown; `ofBoxesNow`: it tells what lies in the boxes at this moment, whoever goes there next. */
type Shown = { readonly siteIds: readonly string[] | 'every'; readonly ofBoxesNow?: boolean };

/**
 * The sites of which the caller is shown nothing that tells what a box should hold: no expected cash, no reading, no
 * estimate, no difference, no takings (25 CFR 543.17(g)(5)). One rule for every route: while a collection of a site is not
 * accepted, was discarded and not counted anew, or a visit there is kept aside, these are sealed
 * - for every role that counts, and for every token of such a role, whatever its scopes; for them from the moment on at which
 *   a round there is planned;
 * - for everybody else who has a hand in it: who collected, held the key, read its meters or entered any of it, in person
 *   or by a token of their own. What lies in the boxes now (`ofBoxesNow`: estimates, reports of machines, readings) also
 *   for whom a round sends there, from its day on.
 * Owners, bookkeepers, reviewers and auditors who do not count see it, and that they looked is on record: what they count
 * there afterwards is labelled as not blind; so it is after a look at what lies in the boxes now, though nothing waited then,
 * up to the next emptying. In a business of one person nothing is sealed, and everything labelled.
 *
 * Settlements whose terms go by the meters, their statements and what-ifs, are sealed with the rest: their lines tell what
 * meters said of earlier, accepted collections. What the books owe of them is not: open items, accounts, payments, tax
 * returns and journal add up what was issued, and an office that counts could not pay without them.
 */
export async function sealFor({ tx, now }: Asking, caller: Caller, { siteIds, ofBoxesNow = false }: Shown): Promise<Seal> {
  const nothing: Seal = { sites: [], byRole: false, actors: [] };
  if (caller.kind === 'system') return nothing;
  const byRole = countsByRole(caller.role);
  const waiting = await selectWaitingSites(tx, siteIds);
  const planned = byRole || ofBoxesNow ? await selectPlannedSites(tx, { siteIds, now }) : [];
  if (waiting.length === 0 && planned.length === 0 && !ofBoxesNow) return nothing;
  const behind = await personBehind(tx, tx.actor);
  const actors = await selectActorsOf(tx, behind);
  if (byRole) return { sites: distinct([...waiting, ...planned.map((stop) => stop.site_id)]), byRole, actors };
  const personId = caller.kind === 'user' ? caller.personId : await selectPersonOf(tx, behind);
  const toCollect = planned.filter((stop) => stop.has_begun && stop.collector_id === personId).map((stop) => stop.site_id);
  const inHand = distinct([...(await selectSitesInHand(tx, { actors, personId, siteIds: waiting })), ...toCollect]);
  const alone = inHand.length > 0 && (await mayActAlone(tx, await policyAt(tx, now)));
  const sites = alone ? [] : inHand;
  const counts: Row = permissions['collection.count'];
  if (counts.grants[caller.role] !== undefined) {
    const isShown = (siteId: string): boolean => !sites.includes(siteId);
    await insertLooks(tx, { by: behind, siteIds: waiting.filter(isShown), now });
    if (ofBoxesNow) await insertSiteLooks(tx, { by: behind, siteIds, notSites: sites, now });
  }
  return { sites, byRole, actors };
}

const distinct = (ids: readonly string[]): string[] => [...new Set(ids)];

/** Whether a site is sealed for the caller. */
export async function isSealed(asking: Asking, caller: Caller, siteId: string): Promise<boolean> {
  return (await sealFor(asking, caller, { siteIds: [siteId] })).sites.length > 0;
}

/** Refuses what tells of these sites, where one of them is sealed for the caller. */
export async function refusedWhileSealed(asking: Asking, caller: Caller, siteIds: readonly string[], { ofBoxesNow = false } = {}): Promise<Outcome<never> | null> {
  const { sites } = await sealFor(asking, caller, { siteIds, ofBoxesNow });
  return sites.length === 0 ? null : refused('being-counted', { detail: BEING_COUNTED });
}

export const BEING_COUNTED = 'A collection there is planned or being counted, and you count or may count it: this is shown when it is accepted.';

type Entered = { readonly recorded_by: string; readonly recorded_at: Date };

/**
 * Whether nobody who entered these counts had been shown before what the boxes should hold, or read it off the meters; and
 * nobody who counted in the room had counted the same at the machines, or been shown that: a second count that is known to
 * be the first one's is none.
 */
export async function isBlind(tx: TenantTransaction, collectionId: string, entered: readonly (Entered & { readonly at_machine: boolean })[]): Promise<boolean> {
  if ((await knewBefore(tx, collectionId, [...entered, ...(await selectCountedOnVisit(tx, collectionId))])).includes(true)) return false;
  const inRoom = entered.filter((count) => !count.at_machine);
  return inRoom.length === 0 || !(await lookedBefore(tx, inRoom, await selectFirstCounts(tx, collectionId))).includes(true);
}

/** Of entries of a collection, one by one: whether who made it knew by then what the boxes should hold, in person or by a token. */
export async function knewBefore(tx: TenantTransaction, collectionId: string, counts: readonly Entered[]): Promise<boolean[]> {
  return lookedBefore(tx, counts, await selectLooks(tx, collectionId));
}

async function lookedBefore(tx: TenantTransaction, counts: readonly Entered[], looks: readonly Look[]): Promise<boolean[]> {
  if (looks.length === 0) return counts.map(() => false);
  const behind = new Map<string, string>();
  for (const actor of [...counts.map((count) => count.recorded_by), ...looks.map((look) => look.looked_by)]) if (!behind.has(actor)) behind.set(actor, await personBehind(tx, actor));
  return counts.map((count) => looks.some((look) => behind.get(look.looked_by) === behind.get(count.recorded_by) && look.looked_at <= count.recorded_at));
}
