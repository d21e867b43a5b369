import type { Why } from '#contracts/settlement';
import type { PeriodInputs } from '#domain/settlement/inputs';
import type { Line, LineKind, RuleRef } from '#domain/settlement/lines';
import { cutPeriod } from '#domain/settlement/segments';
import { versionInForceAtEnd } from '#domain/settlement/settle';
import type { AgreementVersion } from '#domain/terms/types';

/** The member of the terms by which a figure that names no rule of its own is what it is. */
const members: { readonly [kind in LineKind]?: string } = {
  cash: '/basis',
  'metered-difference': '/basis',
  tokens: '/tokens',
  cashless: '/cashless',
  'break-in': '/breakIns',
  'pool-opening': '/grouping',
  charge: '/charges',
  'charge-rest': '/charges',
  'pool-left': '/charges',
  share: '/split',
  'loss-in': '/loss',
  'loss-out': '/loss',
  guarantee: '/guarantees',
  'payee-share': '/split',
  'payee-charge': '/charges',
  'payee-tax': '/tax',
  'payee-break-in': '/breakIns',
  'payee-advance': '/advances',
  'payee-handed-cash': '/payout',
  'payee-carried-in': '/payout',
  payable: '/payout',
};

/** The dated rule that a figure follows: what the engine names, or the terms under which the figure was added up. */
export function ruleVersionOf({ rule, line, inputs }: { readonly rule: RuleRef | null; readonly line: Line; readonly inputs: PeriodInputs }): Why['ruleVersion'] {
  const ruleId = rule === null ? line.about.taxRuleId : rule.of === 'tax-rule' ? rule.ruleId : undefined;
  const taxRule = ruleId === undefined ? undefined : inputs.taxRules.find((each) => each.id === ruleId);
  if (taxRule !== undefined) return { of: 'tax-rule', ruleId: taxRule.id, title: taxRule.title, startsOn: taxRule.from, endsBefore: taxRule.until, source: taxRule.source };
  const version = (rule?.of === 'terms' ? inputs.versions.find((each) => each.id === rule.versionId) : undefined) ?? versionOf(line, inputs);
  const after = inputs.versions.map((each) => each.startsOn).filter((startsOn) => startsOn > version.startsOn).sort()[0];
  return { of: 'terms', versionId: version.id, startsOn: version.startsOn, endsBefore: after ?? null, pointer: rule?.of === 'terms' ? rule.pointer : (members[line.kind] ?? '') };
}

/** Counts under other terms are groups of their own; what belongs to no group is for the terms at the end of the period. */
function versionOf(line: Line, inputs: PeriodInputs): AgreementVersion {
  const group = line.about.group === undefined ? undefined : cutPeriod(inputs).groups[line.about.group - 1];
  return inputs.versions.find((version) => version.id === group?.versionId) ?? versionInForceAtEnd(inputs);
}
