import { dayInWords } from '#contracts/day-in-words';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { USUAL_SLACK_PERCENT } from '#domain/counting/pieces';
import type { Role } from '#domain/permissions/role';
import { localDay } from '../collection/local-day';
import { selectMembers, type MemberRow } from '../identity/member.sql';
import { selectOperator } from '../operator/operator.sql';
import { selectPoliciesThrough, selectPolicyAt, type PolicyRow } from './policy.sql';

/** The rules that an owner may relax. */
export type PolicyRules = {
  /** Cash-box keys may go from one person to another; otherwise they go back to the custodian first. */
  readonly directHandOver: boolean;
  /** How long giver and receiver of a key have to confirm. */
  readonly acknowledgeWithinHours: number;
  readonly inventoryEveryMonths: 1 | 3 | 6;
  /** Whoever keeps the keys that nobody was given does not collect. */
  readonly custodianApart: boolean;
  /** The business is one person; to be looked at again by this day. */
  readonly onePersonReviewOn: LocalDate | null;
  /** How near to a whole number of pieces a weight of coins must come, in percent of a piece. */
  readonly weighWithinPercent: number;
};

/** Where an owner decided nothing: the strict side of each question that has one; of how near a weight must come, the usual. 25 CFR 543.24(d)(8)(iv): keys are counted quarterly. */
export const strictRules: PolicyRules = { directHandOver: false, acknowledgeWithinHours: 48, inventoryEveryMonths: 3, custodianApart: true, onePersonReviewOn: null, weighWithinPercent: USUAL_SLACK_PERCENT };

/** The rules that hold at an instant; `knownAt`, if the books are asked as they were then. */
export async function policyAt(tx: TenantTransaction, at: Date, { knownAt = at }: { readonly knownAt?: Date } = {}): Promise<PolicyRules> {
  // Nothing is decided backwards, so what holds at an instant was known then.
  const row = await selectPolicyAt(tx, { at, knownAt });
  return row === null ? strictRules : rulesOf(row);
}

/** Whether the rules allowed something at every instant from one up to another. */
export async function allowedThroughout(tx: TenantTransaction, span: { readonly from: Date; readonly to: Date }, allows: (rules: PolicyRules) => boolean): Promise<boolean> {
  const first = await policyAt(tx, span.from);
  return allows(first) && (await selectPoliciesThrough(tx, span)).every((row) => allows(rulesOf(row)));
}

export function rulesOf(row: PolicyRow): PolicyRules {
  return {
    directHandOver: row.direct_hand_over,
    acknowledgeWithinHours: row.acknowledge_within_hours,
    inventoryEveryMonths: row.inventory_every_months,
    custodianApart: row.custodian_apart,
    onePersonReviewOn: row.one_person_review_on,
    weighWithinPercent: row.weigh_within_percent,
  };
}

/** Roles whose members may be the second person that a rule asks for. */
const seconds: readonly Role[] = ['owner', 'bookkeeper', 'custodian', 'reviewer'];

/** Members who could be a second person to somebody. */
export async function secondPeople(tx: TenantTransaction): Promise<MemberRow[]> {
  return (await selectMembers(tx)).filter(({ role }) => seconds.includes(role));
}

/**
 * Whether what wants a second person may be done by one: the owner said that the business is one person, and it still is.
 * Whoever does it labels the record (`labelRelaxed`).
 */
export async function mayActAlone(tx: TenantTransaction, { onePersonReviewOn }: PolicyRules): Promise<boolean> {
  return onePersonReviewOn !== null && (await secondPeople(tx)).length <= 1;
}

/** Whether at an instant the day has come by which the owner wanted to look again at whether one person is enough. */
export async function isReviewDue(tx: TenantTransaction, review: { readonly reviewOn: LocalDate; readonly at: Date }): Promise<boolean> {
  const operator = await selectOperator(tx);
  const day = operator === null ? null : localDay({ instant: review.at, timeZone: operator.time_zone });
  return day !== null && review.reviewOn <= day;
}

/**
 * Whether a correction is made by the one who recorded the figure: refused, but in a business of one, where it is true and
 * the correction is to be labelled. `detail` says whose figure it is.
 */
export function isCorrectedAlone(tx: TenantTransaction, figure: { readonly recordedBy: string; readonly now: Date; readonly detail: string }): Promise<Outcome<boolean>> {
  return isDoneAlone(tx, { ...figure, recordedBy: [figure.recordedBy] });
}

/** The same of something that several may have had a hand in: true where the one who acts is one of them, and may be. */
export async function isDoneAlone(tx: TenantTransaction, record: { readonly recordedBy: readonly string[]; readonly now: Date; readonly detail: string }): Promise<Outcome<boolean>> {
  const behind = await personBehind(tx, tx.actor);
  let own = false;
  for (const actor of record.recordedBy) own ||= (await personBehind(tx, actor)) === behind;
  if (!own) return done(false);
  return (await mayActAlone(tx, await policyAt(tx, record.now))) ? done(true) : refused('second-person-needed', { detail: record.detail });
}

/** Whoever made a token stands behind what comes by it: a token of one's own is no second person. */
export async function personBehind(tx: TenantTransaction, actor: string): Promise<string> {
  if (!actor.startsWith('token:')) return actor;
  const { rows } = await tx.sql<{ created_by: string }>('SELECT created_by FROM identity.api_tokens() WHERE id = $1::uuid', [actor.slice('token:'.length)]);
  return rows[0]?.created_by ?? actor;
}

/** What is not as strict as it could be, in words. */
export function relaxedInWords(rules: PolicyRules): string[] {
  return [
    ...(rules.directHandOver ? ['Cash-box keys may go from one of the operator’s people to another without going back to the custodian.'] : []),
    ...(rules.acknowledgeWithinHours > strictRules.acknowledgeWithinHours ? [`A key may stay unconfirmed for ${String(rules.acknowledgeWithinHours)} hours.`] : []),
    ...(rules.inventoryEveryMonths > strictRules.inventoryEveryMonths ? [`All keys are counted only every ${String(rules.inventoryEveryMonths)} months.`] : []),
    ...(rules.custodianApart ? [] : ['Whoever collects may also keep the keys that nobody was given.']),
    ...(rules.weighWithinPercent > strictRules.weighWithinPercent ? [`A weight of coins may lie ${String(rules.weighWithinPercent)} percent of a piece from a whole number.`] : []),
    ...(rules.onePersonReviewOn === null ? [] : [`What wants a second person is done by one and labelled, while there is only one. To be looked at again by ${dayInWords(rules.onePersonReviewOn)}.`]),
  ];
}
