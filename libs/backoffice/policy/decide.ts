import { done, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { DecidePolicy, Policies } from '#contracts/policy';
import { addDays } from '#domain/calendar/local-date';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { selectOperator } from '../operator/operator.sql';
import { perform } from '../perform';
import { taken } from '../refusal';
import { policyAt, secondPeople } from './policy';
import { insertPolicy } from './policy.sql';
import { showPolicies } from './read';

/** However long the business stays one person, once a year somebody thinks about it. */
const FURTHEST_REVIEW_DAYS = 366;

/** Says which of the rules that may be relaxed hold from now or a later moment on. */
export async function decidePolicy(deps: Backoffice, caller: Caller, command: DecidePolicy): Promise<Outcome<Policies>> {
  return perform<Policies>(
    deps,
    caller,
    'policy.decide',
    async ({ tx, now }) => {
      const effectiveFrom = command.effectiveFrom === undefined ? now : new Date(command.effectiveFrom);
      const operator = await selectOperator(tx);
      const today = operator === null ? null : localDay({ instant: now, timeZone: operator.time_zone });
      if (today === null) throw new Error('the operator has no present day');
      const wrong: WrongField[] = [];
      if (effectiveFrom < now) wrong.push({ path: ['effectiveFrom'], code: 'in-the-past', message: 'A rule holds from now on at the earliest: nothing is allowed afterwards.' });
      const { onePersonReviewOn } = command;
      if (onePersonReviewOn !== null) {
        const others = (await secondPeople(tx)).filter(({ account_id: id }) => id !== caller.id);
        if (others.length > 0) wrong.push({ path: ['onePersonReviewOn'], code: 'more-than-one-person', message: `${others.map(({ name }) => name).join(', ')} can be the second person.` });
        if (onePersonReviewOn <= today) wrong.push({ path: ['onePersonReviewOn'], code: 'in-the-past', message: 'Choose a later day on which to look at it again.' });
        else if (onePersonReviewOn > addDays(today, FURTHEST_REVIEW_DAYS)) wrong.push({ path: ['onePersonReviewOn'], code: 'too-far-away', message: 'Look at it again within twelve months.' });
      }
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      await insertPolicy(tx, {
        id: command.id ?? deps.newId(),
        effective_from: effectiveFrom,
        direct_hand_over: command.directHandOver,
        acknowledge_within_hours: command.acknowledgeWithinHours,
        inventory_every_months: command.inventoryEveryMonths,
        custodian_apart: command.custodianApart,
        one_person_review_on: onePersonReviewOn,
        weigh_within_percent: command.weighWithinPercent ?? (await policyAt(tx, effectiveFrom)).weighWithinPercent,
        reason: command.reason,
        recorded_at: now,
      });
      return done(await showPolicies(tx, now));
    },
    { constraints: { policy_pkey: taken(['id'], 'a decision with this id') } },
  );
}
