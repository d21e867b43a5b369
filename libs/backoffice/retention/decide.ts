import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { DecideRetention, PlaceHold, Retention } from '#contracts/retention';
import { LONGEST_KEPT } from '#domain/retention/kinds';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { taken } from '../refusal';
import { readKeeping, ruleOf } from './keeping';
import { showRetention } from './read';
import { insertDecision, insertHold, updateLifted } from './retention.sql';

/** Says for how long records of a kind are kept from now on. Never shorter than the law of the operator's country asks for. */
export function decideRetention(deps: Backoffice, caller: Caller, command: DecideRetention): Promise<Outcome<Retention>> {
  return perform<Retention>(
    deps,
    caller,
    'retention.decide',
    async ({ tx, now }) => {
      const { kind, keep, reason } = command;
      const { unit, least, source, isYearAdded } = ruleOf(await readKeeping(tx, now), kind);
      const why = [...(source === null ? [] : [source]), ...(isYearAdded ? ['a year more than the law says, because an accounting year may end within a calendar year'] : [])].join('; ');
      const wrong: WrongField[] = [];
      if (keep !== null && keep < least) wrong.push({ path: ['keep'], code: 'below-least', message: `These are kept for ${least} ${unit} at least${why === '' ? '' : ` (${why})`}.` });
      if (keep !== null && keep > LONGEST_KEPT[unit]) wrong.push({ path: ['keep'], code: 'too-large', message: `Choose ${LONGEST_KEPT[unit]} ${unit} at most, or for as long as the operator exists.` });
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      await insertDecision(tx, { id: command.id ?? deps.newId(), kind, keep, reason, now });
      return done(await showRetention(tx, now));
    },
    { constraints: { retention_decision_pkey: taken(['id'], 'a decision with this id') } },
  );
}

/** From now on nothing is removed and nobody's data is erased, until the hold is lifted: a dispute, an audit, a lawsuit. */
export function placeHold(deps: Backoffice, caller: Caller, command: PlaceHold): Promise<Outcome<Retention>> {
  return perform<Retention>(
    deps,
    caller,
    'retention.hold',
    async ({ tx, now }) => {
      await insertHold(tx, { id: command.id ?? deps.newId(), reason: command.reason, now });
      return done(await showRetention(tx, now));
    },
    { constraints: { retention_hold_pkey: taken(['id'], 'a hold with this id') } },
  );
}

export function liftHold(deps: Backoffice, caller: Caller, command: { readonly id: string; readonly reason: string }): Promise<Outcome<Retention>> {
  return perform<Retention>(deps, caller, 'retention.hold', async ({ tx, now }) => {
    if (await updateLifted(tx, { ...command, now })) return done(await showRetention(tx, now));
    const { holds } = await showRetention(tx, now);
    return holds.some(({ id }) => id === command.id) ? refused('wrong-state', { detail: 'The hold is lifted already.' }) : refused('not-found');
  });
}
