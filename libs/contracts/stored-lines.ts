import { z } from 'zod';
import { allFormulas, allLineKinds, steps, type Line, type PeriodLine } from '#domain/settlement/lines';
import type { PeriodCarries } from '#domain/settlement/carries';
import { storedDate, storedId, storedInteger, storedText } from './stored-values';

/** Lines of a settlement and what a period leaves to the next, as they are stored. */
const filedBy = z.enum(['operator', 'site']);

/** exactOptional: a key that does not apply is absent, never undefined. */
const about = z.strictObject({
  group: z.int().exactOptional(),
  machineId: storedId.exactOptional(),
  poolKey: storedId.exactOptional(),
  party: storedId.exactOptional(),
  taxRuleId: storedId.exactOptional(),
  taxAreaId: storedId.exactOptional(),
  taxComponentId: storedId.exactOptional(),
  filedBy: filedBy.exactOptional(),
  chargeId: storedId.exactOptional(),
  title: storedText.exactOptional(),
  guaranteeId: storedId.exactOptional(),
  advanceId: storedId.exactOptional(),
  handedCashId: storedId.exactOptional(),
  carriedItemId: storedId.exactOptional(),
  since: storedDate.exactOptional(),
  becomes: z.enum(['lapsed', 'carried']).exactOptional(),
});

const lineFields = { key: storedText, step: z.enum(steps), kind: z.enum(allLineKinds), about, amountMinor: storedInteger };

export const storedPeriodLineSchema = z.strictObject(lineFields) satisfies z.ZodType<PeriodLine>;

const explanation = z.strictObject({
  formula: z.enum(allFormulas),
  inputs: z.array(
    z.union([
      z.strictObject({ of: z.literal('line'), key: storedText }),
      z.strictObject({ of: z.enum(['count', 'slip', 'cashless', 'break-in', 'handed-cash', 'advance', 'carried-item']), id: storedId }),
    ]),
  ),
  rule: z
    .union([
      z.strictObject({ of: z.literal('terms'), versionId: storedId, pointer: storedText }),
      z.strictObject({ of: z.literal('tax-rule'), ruleId: storedId }),
    ])
    .nullable(),
  exact: z.strictObject({ numerator: storedInteger, denominator: storedInteger }).nullable(),
  parameters: z.record(z.string(), z.string()),
});

export const storedLineSchema = z.strictObject({
  number: z.int().min(1),
  ...lineFields,
  change: z.strictObject({ issuedMinor: storedInteger, nowMinor: storedInteger }).exactOptional(),
  explanation: explanation.exactOptional(),
}) satisfies z.ZodType<Line>;

export const storedCarriesSchema = z.strictObject({
  losses: z.array(z.strictObject({ poolKey: storedId, machineIds: z.array(storedId), amountMinor: storedInteger })),
  chargeRests: z.array(
    z.strictObject({
      chargeId: storedId,
      title: storedText,
      to: storedId,
      scope: z.enum(['agreement', 'pool', 'machine']),
      poolKey: storedId.nullable(),
      machineIds: z.array(storedId),
      since: storedDate,
      amountMinor: storedInteger,
    }),
  ),
  negativeTaxes: z.array(z.strictObject({ taxId: storedId, amountMinor: storedInteger })),
  coveredDays: z.array(
    z.strictObject({ machineId: storedId, kind: storedId, ranges: z.array(z.strictObject({ from: storedDate, until: storedDate })) }),
  ),
}) satisfies z.ZodType<PeriodCarries>;
