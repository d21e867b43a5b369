import { dayInWords } from '#contracts/day-in-words';
import type { MissingReading, UntoldBox, UntoldWhy } from '#contracts/untold-box';
import type { InputsProblem } from '#domain/settlement/check-inputs';
import type { SettlementInputs } from '#domain/settlement/inputs';
import { checkTerms } from '#domain/terms/check-terms';
import type { AgreementVersion } from '#domain/terms/types';
import { termsMessage } from '../../agreement/terms-messages';

/**
 * Why inputs cannot be settled, for who mends it. Most problems are damage, and their code is for a technician. Two a
 * bookkeeper mends: what the meters imply is missing of `untold` boxes, and terms that were signed and cannot be carried out.
 */
export function aboutInputs({ code, pointer }: InputsProblem, inputs: SettlementInputs, untold: readonly UntoldBox[] = []): string {
  if (code === 'metered-amount-missing') return `${code}: the terms go by the meters, and ${untoldInWords(untold)}. Enter the readings that are missing or right those that cannot be; or somebody who did not count says at the collection what the meters imply, and why`;
  const version = versionAt(pointer, inputs);
  const problem = version === undefined ? undefined : checkTerms(version.terms, { currency: inputs.currency, limits: [] }).find((found) => pointer.endsWith(`/terms${found.pointer}`));
  if (version === undefined || problem === undefined) return code;
  return `${code}: the terms in force from ${dayInWords(version.startsOn)} cannot be carried out. ${termsMessage(problem, inputs.currency)} Sign corrected terms from that day on, and settle the period again`;
}

/** As many boxes as one can still read. */
const NAMED = 10;

function untoldInWords(boxes: readonly UntoldBox[]): string {
  if (boxes.length === 0) return 'those of a box cannot tell what they imply';
  const named = boxes.slice(0, NAMED).map(({ machineTag, siteCode, localDate, why, missing }) => `those of ${machineTag} at ${siteCode} on ${dayInWords(localDate)} cannot tell what they imply (${[...missing.map(missingInWords), ...why.flatMap((each) => whyInWords[each] ?? [])].join('; ')})`);
  return `${named.join(', ')}${boxes.length > NAMED ? ` and ${String(boxes.length - NAMED)} more` : ''}`;
}

function missingInWords({ occasion, siteCode, day }: MissingReading): string {
  const at = { removal: `as it left ${siteCode ?? 'the site'}`, placement: `as it came to ${siteCode ?? 'the site'}`, 'price-change': 'as a price changed' }[occasion];
  return `not read ${at} on ${dayInWords(day)}`;
}

/** What a missing reading does not say. */
const whyInWords: Readonly<Partial<Record<UntoldWhy, string>>> = {
  'not-recorded': 'nobody records them',
  'board-unread': 'not read as the board was opened',
  'reset-or-wrong': 'a reading cannot follow the one before',
  'rollover-or-reset': 'a meter went down, and nobody has said whether it passed its last value or was set back',
  'above-ceiling': 'a reading says more than the machine could earn',
};

function versionAt(pointer: string, { current, earlier }: SettlementInputs): AgreementVersion | undefined {
  const [, before, index] = /^\/(?:current|earlier\/(\d+)\/inputs)\/versions\/(\d+)\/terms/.exec(pointer) ?? [];
  const period = before === undefined ? current : earlier[Number(before)]?.inputs;
  return index === undefined ? undefined : period?.versions[Number(index)];
}
