import type { WhatIfAnswer } from '#contracts/what-if';
import type { PeriodLine } from '#domain/settlement/lines';
import type { RerunPeriod } from '#domain/settlement/what-if';
import { labelOf } from '../settlement/explain/lines';
import type { ScopeRow } from './read.sql';
import { amounts } from './sums';

type Body = NonNullable<WhatIfAnswer['lines']>[number];

/** Every figure of the periods as issued and as it would have been, in today's order, then what would not be there any more. */
export function lineBodies(agreement: ScopeRow, periods: readonly RerunPeriod[], partyName: (party: string) => string): Body[] {
  return periods.flatMap(({ standing, inputs, lines }) => {
    const tags = new Map(inputs.machines.map((machine) => [machine.id, machine.tag]));
    const issued = new Map(standing.issued.map((line) => [line.key, line]));
    const body = (line: PeriodLine, both: { before: bigint; after: bigint }): Body => ({
      agreementId: agreement.agreement_id,
      startsOn: inputs.period.from,
      step: line.step,
      kind: line.kind,
      label: labelOf(line),
      machineTag: line.about.machineId === undefined ? null : (tags.get(line.about.machineId) ?? null),
      party: line.about.party === undefined ? null : partyName(line.about.party),
      amounts: amounts(both, agreement.currency),
    });
    const now = lines.map((line) => body(line, { before: issued.get(line.key)?.amountMinor ?? 0n, after: line.amountMinor }));
    const keys = new Set(lines.map((line) => line.key));
    const gone = standing.issued.filter((line) => line.amountMinor !== 0n && line.step !== 'payout' && !keys.has(line.key));
    return [...now, ...gone.map((line) => body(line, { before: line.amountMinor, after: 0n }))];
  });
}
