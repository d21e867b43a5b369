import type { Actor } from './role';
import { permissions, type Action, type Grant, type Row } from './table';

/** What the action is done to, as far as it is known: leave out what the thing does not have. */
export type Subject = {
  readonly state?: string;
  /** Site that the thing belongs to; `null` for a thing that is at no site now (a machine in the shop). */
  readonly siteId?: string | null;
};

/**
 * Why not. `role` and `scope` hold whatever the thing is; `state` says that another state would do;
 * `unseen` must be answered exactly like an unknown id.
 */
export type Denial = 'role' | 'scope' | 'state' | 'unseen';

/**
 * The reason why `actor` may not do `action` to `subject`, or `null` if they may. With an empty subject the
 * answer is about role and scope alone: is there anything at all to which they could do it?
 */
export function denial(actor: Actor, action: Action, subject: Subject = {}): Denial | null {
  if (actor.kind === 'system') return null;
  const row: Row = permissions[action];
  const grant = row.grants[actor.role];
  if (grant === undefined) return 'role';
  if (actor.kind === 'token') {
    if (row.scope === 'session-only' || !actor.scopes.includes(row.scope)) return 'scope';
  }
  return denialBySubject(grant, subject, actor.kind === 'user' ? actor.siteIds : []);
}

/** May `actor` do `action` to `subject`? See {@link denial} for the reason. */
export function can(actor: Actor, action: Action, subject: Subject = {}): boolean {
  return denial(actor, action, subject) === null;
}

/**
 * Sites whose things the actor may meet in lists for this action: `'every'`, or the ids to filter by.
 * An actor without any grant gets an empty list, so that a forgotten check shows nothing.
 */
export function visibleSites(actor: Actor, action: Action): 'every' | readonly string[] {
  if (actor.kind === 'system') return 'every';
  if (denial(actor, action) !== null) return [];
  const row: Row = permissions[action];
  if (row.grants[actor.role]?.sites === 'every') return 'every';
  return actor.kind === 'user' ? actor.siteIds : [];
}

/** States in which the actor may meet things in lists for this action: `'every'`, or the states to filter by. */
export function visibleStates(actor: Actor, action: Action): 'every' | readonly string[] {
  if (actor.kind === 'system') return 'every';
  if (denial(actor, action) !== null) return [];
  const row: Row = permissions[action];
  return row.grants[actor.role]?.states ?? [];
}

function denialBySubject(grant: Grant, subject: Subject, siteIds: readonly string[]): Denial | null {
  if (grant.sites === 'own' && subject.siteId !== undefined) {
    if (subject.siteId === null || !siteIds.includes(subject.siteId)) return 'unseen';
  }
  if (grant.states !== 'every' && subject.state !== undefined && !grant.states.includes(subject.state)) {
    return grant.sites === 'own' ? 'unseen' : 'state';
  }
  return null;
}
