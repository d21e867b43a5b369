import { dayInWords } from '#contracts/day-in-words';
import type { InputsProblem } from '#domain/settlement/check-inputs';
import type { SettlementInputs } from '#domain/settlement/inputs';
import { checkTerms } from '#domain/terms/check-terms';
import type { AgreementVersion } from '#domain/terms/types';
import { termsMessage } from '../../agreement/terms-messages';

/**
 * Why inputs cannot be settled, for who mends it. Most problems are damage, and their code is for a technician. Two a
 * bookkeeper mends: what the meters imply is missing, and terms that were signed and cannot be carried out.
 */
export function aboutInputs({ code, pointer }: InputsProblem, inputs: SettlementInputs): string {
  if (code === 'metered-amount-missing') return `${code}: the terms go by the meters, so correct each count and enter what its meters imply, or correct readings that cannot be`;
  const version = versionAt(pointer, inputs);
  const problem = version === undefined ? undefined : checkTerms(version.terms, { currency: inputs.currency, limits: [] }).find((found) => pointer.endsWith(`/terms${found.pointer}`));
  if (version === undefined || problem === undefined) return code;
  return `${code}: the terms in force from ${dayInWords(version.startsOn)} cannot be carried out. ${termsMessage(problem, inputs.currency)} Sign corrected terms from that day on, and settle the period again`;
}

function versionAt(pointer: string, { current, earlier }: SettlementInputs): AgreementVersion | undefined {
  const [, before, index] = /^\/(?:current|earlier\/(\d+)\/inputs)\/versions\/(\d+)\/terms/.exec(pointer) ?? [];
  const period = before === undefined ? current : earlier[Number(before)]?.inputs;
  return index === undefined ? undefined : period?.versions[Number(index)];
}
