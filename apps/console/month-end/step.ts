import type { MonthEnd } from '../api/shapes';

/** The month end in order. */
export const stepNames = ['collect', 'settle', 'review', 'issue', 'issued', 'paid'] as const;
export type StepName = (typeof stepNames)[number];

type Counted = Pick<MonthEnd, 'counts' | 'closeId'>;

/** What is still to do at each step, counted in agreements. */
export function remaining({ counts }: Counted): Readonly<Record<Exclude<StepName, 'issued'>, number>> {
  const { agreements, withoutCollections, openCollections, drafts, reviewed, numbered, issued, failed, unpaid, partlyPaid, disputed } = counts;
  const collect = withoutCollections + openCollections;
  // Counted and accepted, but without a settlement yet.
  const ready = Math.max(0, agreements - collect - drafts - reviewed - numbered - issued - failed);
  return { collect, settle: ready + failed, review: drafts, issue: reviewed + numbered, paid: unpaid + partlyPaid + disputed };
}

/**
 * Where the bookkeeper's attention belongs now. Sites that are still to be collected do not hold up the others: once
 * the period has been closed, the step is the first one with work that can be done.
 */
export function currentStep(monthEnd: Counted): StepName {
  const left = remaining(monthEnd);
  if (monthEnd.closeId === null) return left.settle > 0 ? 'settle' : 'collect';
  return stepNames.find((each) => each !== 'collect' && each !== 'issued' && left[each] > 0) ?? (left.collect > 0 ? 'collect' : 'paid');
}
