import { z } from 'zod';
import type { LawLimit, TaxRule } from '#domain/tax/types';
import { storedDate, storedDecimal, storedId, storedInteger, storedText } from './stored-values';

/** Tax rules and limits of the law inside a stored settlement. */
const kinds = z.union([z.literal('all'), z.array(storedId)]);

const ruleFields = {
  id: storedId,
  taxId: storedId,
  areaId: storedId,
  title: storedText,
  source: storedText,
  from: storedDate,
  until: storedDate.nullable(),
  machineKinds: kinds,
  filedBy: z.enum(['operator', 'site']),
  borneBy: z.enum(['all', 'operator']),
  breakIns: z.enum(['in-base', 'not-in-base']),
};

const rateFields = { negative: z.enum(['zero', 'carry']), capPerMachineMonthMinor: storedInteger.nullable() };

const rateComponent = { id: storedId, title: storedText, ratePercent: storedDecimal };

const monthAndDay = { month: z.int().min(1).max(12), day: z.int().min(1).max(31) };

export const storedTaxRuleSchema = z.discriminatedUnion('method', [
  z.strictObject({ ...ruleFields, ...rateFields, method: z.literal('inside'), components: z.array(z.strictObject(rateComponent)) }),
  z.strictObject({
    ...ruleFields,
    ...rateFields,
    method: z.literal('on-takings'),
    rounding: z.enum(['apart', 'together']),
    components: z.array(z.strictObject({ ...rateComponent, machineKinds: kinds })),
  }),
  z.strictObject({
    ...ruleFields,
    method: z.literal('fixed'),
    per: z.enum(['month', 'year']),
    timing: z.discriminatedUnion('kind', [
      z.strictObject({ kind: z.literal('by-days-covered') }),
      z.strictObject({ kind: z.literal('when-due'), ...monthAndDay, onPlacement: z.boolean() }),
    ]),
    components: z.array(
      z.strictObject({
        id: storedId,
        title: storedText,
        amountMinor: storedInteger,
        placedLater: z.strictObject({ ...monthAndDay, amountMinor: storedInteger }).nullable(),
      }),
    ),
  }),
]) satisfies z.ZodType<TaxRule>;

const limitFields = { id: storedId, areaId: storedId, source: storedText, from: storedDate, until: storedDate.nullable() };

export const storedLimitSchema = z.discriminatedUnion('kind', [
  z.strictObject({ ...limitFields, kind: z.literal('highest-site-share'), percent: storedDecimal }),
  z.strictObject({ ...limitFields, kind: z.literal('fixed-split'), operatorPercent: storedDecimal, sitePercent: storedDecimal }),
  z.strictObject({ ...limitFields, kind: z.literal('no-advances') }),
]) satisfies z.ZodType<LawLimit>;
