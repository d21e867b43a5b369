import { daysInWords } from '#contracts/day-in-words';
import type { Outcome } from '#contracts/outcome';
import type { Failure } from '#contracts/problem';
import { constraintViolationOf } from '#database/constraint';
import { serverErrorOf, sqlStates } from '#database/server-error';
import { rolledBack, withTenant, type TenantTransaction } from '#database/tenant';
import { denial, visibleSites, visibleStates, type Denial, type Subject } from '#domain/permissions/can';
import { permissions, type Action, type Row } from '#domain/permissions/table';
import type { Caller } from './caller';
import type { Backoffice } from './dependencies';
import { claimOnce, rememberOnce } from './once.sql';

/** What a use case works with: one transaction of the caller's operator, and the permission table asked about its action. */
export type Unit = {
  readonly tx: TenantTransaction;
  readonly now: Date;
  /**
   * Why the caller may not do this to that thing, or `null`. Ask as soon as state and site are known, before anything
   * else is said about the thing. A site manager's reach ends at their own sites, so `siteId` is always given.
   */
  readonly refusal: (subject: Subject) => Outcome<never> | null;
  /** For lists: the sites and states whose things the caller may see, to filter by in SQL. */
  readonly visibleSites: () => 'every' | readonly string[];
  readonly visibleStates: () => 'every' | readonly string[];
  /** What is written stays although the request is refused: a record of the attempt. Whoever says so has undone the rest. */
  readonly keepWhenRefused: () => void;
};

export type PerformOptions<Value> = {
  /** Refusals by name of the constraint that a write broke: what two requests at once can only learn from the database. */
  readonly constraints?: { readonly [constraint: string]: Failure };
  /** What is kept for a repeated request, where the answer holds a secret that is shown once. */
  readonly withoutSecrets?: (value: Value) => Value;
  /** Where the answer holds in clear what is stored sealed: only the id is kept, and a repeated request is answered with what there is now. */
  readonly readAgain?: { readonly idOf: (value: Value) => string; readonly read: (tx: TenantTransaction, id: string) => Promise<Value> };
};

/**
 * Runs a use case: asks the permission table, opens one transaction of the caller's operator, answers a repeated request
 * with what the first one got, and undoes everything when the work refuses. The value must be what the contract says and
 * survive JSON, because that is what a repetition gets.
 */
export async function perform<Value>(
  deps: Backoffice,
  caller: Caller,
  action: Action,
  work: (unit: Unit) => Promise<Outcome<Value>>,
  options: PerformOptions<Value> = {},
): Promise<Outcome<Value>> {
  if (caller.action !== undefined && caller.action !== action) {
    throw new Error(`the route declares ${caller.action}, its use case asks for ${action}`);
  }
  const denied = denial(caller, action);
  if (denied !== null) return { ok: false, failure: denialFailure(denied, action) };
  try {
    return await withTenant<Outcome<Value>>(deps.database, caller, async (tx) => {
      const earlier = caller.once === undefined ? null : await claimOnce<Value>(tx, caller.once);
      if (earlier !== null) return earlierAnswer(tx, earlier, options);
      const { unit, refuseUnasked, isKept } = unitOf({ tx, now: deps.clock.now(), caller, action });
      const outcome = await work(unit);
      if (!outcome.ok) return isKept() ? outcome : rolledBack(outcome);
      refuseUnasked();
      if (caller.once !== undefined) {
        await rememberOnce(tx, { once: caller.once, value: keptAnswer(outcome.value, options), now: deps.clock.now() });
      }
      return outcome;
    });
  } catch (error) {
    const failure = expectedFailure(error, options.constraints ?? {});
    if (failure === null) throw error;
    return { ok: false, failure };
  }
}

function keptAnswer<Value>(value: Value, { withoutSecrets, readAgain }: PerformOptions<Value>): Value | string {
  if (readAgain !== undefined) return readAgain.idOf(value);
  return withoutSecrets === undefined ? value : withoutSecrets(value);
}

async function earlierAnswer<Value>(tx: TenantTransaction, earlier: Outcome<Value>, { readAgain }: PerformOptions<Value>): Promise<Outcome<Value>> {
  return earlier.ok && readAgain !== undefined ? { ...earlier, value: await readAgain.read(tx, String(earlier.value)) } : earlier;
}

/** A refusal of the permission table as a problem. What must stay unseen is answered like an unknown id. */
export function denialFailure(denied: Denial, action: Action, state?: string): Failure {
  const row: Row = permissions[action];
  switch (denied) {
    case 'role':
      return { code: 'not-allowed', detail: `The action is ${action}.` };
    case 'scope':
      return {
        code: 'scope-missing',
        detail: row.scope === 'session-only' ? 'Closed to tokens: sign in.' : `The scope is ${row.scope}.`,
      };
    case 'state':
      return { code: 'not-allowed-in-state', detail: `It is ${state ?? 'in another state'}; the action is ${action}.` };
    case 'unseen':
      return { code: 'not-found' };
  }
}

function unitOf(input: { tx: TenantTransaction; now: Date; caller: Caller; action: Action }) {
  const { tx, now, caller, action } = input;
  let asked = false;
  let kept = false;
  const unit: Unit = {
    tx,
    now,
    refusal: (subject) => {
      asked ||= subject.siteId !== undefined;
      const denied = denial(caller, action, subject);
      return denied === null ? null : { ok: false, failure: denialFailure(denied, action, subject.state) };
    },
    visibleSites: () => {
      asked = true;
      return visibleSites(caller, action);
    },
    visibleStates: () => visibleStates(caller, action),
    keepWhenRefused: () => {
      kept = true;
    },
  };
  // Forgetting to ask would show a site manager everybody's things, and no test of the happy path would notice.
  const refuseUnasked = (): void => {
    if (!asked && visibleSites(caller, action) !== 'every') throw new Error(`${action} was done without asking about the site`);
  };
  return { unit, refuseUnasked, isKept: () => kept };
}

function expectedFailure(error: unknown, constraints: { readonly [constraint: string]: Failure }): Failure | null {
  const violation = constraintViolationOf(error);
  if (violation?.constraint === 'journal_entry_in_open_period') {
    const detail = serverErrorOf(error)?.detail;
    return { code: 'journal-closed', ...(detail === undefined ? {} : { detail: daysInWords(detail) }) };
  }
  if (violation !== undefined) return constraints[violation.constraint] ?? null;
  switch (serverErrorOf(error)?.code) {
    // Somebody else holds the row for longer than lock_timeout allows to wait.
    case sqlStates.lockNotAvailable:
      return { code: 'busy' };
    // JSON and addresses may hold the character zero, which PostgreSQL's text never does.
    case sqlStates.characterNotInRepertoire:
    case sqlStates.untranslatableCharacter:
      return { code: 'invalid-request', detail: 'A text holds a character that cannot be stored.' };
    default:
      return null;
  }
}
