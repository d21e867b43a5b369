import { USUAL_SLACK_PERCENT } from '#domain/counting/pieces';
import type { Policy } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { words } from '../words/words';

type Rules = Pick<Policy, 'directHandOver' | 'acknowledgeWithinHours' | 'inventoryEveryMonths' | 'custodianApart' | 'onePersonReviewOn' | 'weighWithinPercent'>;
export interface PolicyLine {
  readonly rule: keyof typeof words.keyPolicy.rules;
  /** How it is held, to be read on from the rule. */
  readonly says: string;
  readonly isRelaxed: boolean;
}

/** The rules of a policy in words, and which of them are not as strict as where nothing was decided. */
export function linesOf(rules: Rules): PolicyLine[] {
  const { says } = words.keyPolicy;
  const { directHandOver, acknowledgeWithinHours, inventoryEveryMonths, custodianApart, onePersonReviewOn, weighWithinPercent } = rules;
  return [
    { rule: 'handOver', says: says.handOver(directHandOver), isRelaxed: directHandOver },
    { rule: 'confirm', says: says.confirm(acknowledgeWithinHours), isRelaxed: acknowledgeWithinHours > 48 },
    { rule: 'counting', says: says.counting(inventoryEveryMonths), isRelaxed: inventoryEveryMonths > 3 },
    { rule: 'custodian', says: says.custodian(custodianApart), isRelaxed: !custodianApart },
    { rule: 'weighing', says: says.weighing(weighWithinPercent), isRelaxed: weighWithinPercent > USUAL_SLACK_PERCENT },
    { rule: 'secondPerson', says: says.secondPerson(onePersonReviewOn === null ? null : formatDay(onePersonReviewOn, locale)), isRelaxed: onePersonReviewOn !== null },
  ];
}
