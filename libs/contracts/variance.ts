import { z } from 'zod';
import { collectionKeyCheckSchema } from './collection-key';
import { codeSchema, currencySchema, idSchema, instantSchema, localDateSchema, nameSchema, reasonSchema } from './format';
import { monthSchema } from './journal';
import { openersSchema } from './key-question';
import { percentSchema } from './law-limit';
import { unreadMeterSchema } from './meter';
import { moneyNotNegativeSchema, moneySchema } from './money';
import { pageQuerySchema, pageSchema } from './page';

export const varianceTenderSchema = z.enum(['coin', 'note', 'cash']).describe('`cash`: coins and notes together, where meters do not tell them apart.');
const flagStateSchema = z.enum(['open', 'explained']);
const flagReasonSchema = z
  .enum(['tolerance', 'steady-shortage', 'moving-average', 'always-zero', 'repeating', 'meters-implausible', 'counters-apart', 'meters-not-read', 'round-unseen'])
  .describe('`counters-apart`: two counters of the same cash are further apart than the rule set says; `meters-implausible`: its meters went where they cannot go, or its file of audit data does not fit the one before or after it; `meters-not-read`: for the second time in a row, where the site is paid by the meters, or when a price changed; `round-unseen`: more was counted than expected by about what a meter counts in one round of its digits, which it could have made since the reading before; `tolerance`: this difference alone; `steady-shortage`: small ones that add up; `moving-average`: their average left its limits; `always-zero`, `repeating`: too regular to be true.');

const ruleSetFields = {
  name: nameSchema,
  currency: currencySchema,
  effectiveOn: localDateSchema.describe('First accounting date that is judged by it.'),
  joinedBy: z.enum(['and', 'or']).describe('Whether amount and percentage must both be passed, or one of them.'),
  percentOf: z.enum(['metered', 'counted']),
  outWhen: z.enum(['more-than', 'at-least']).describe('Whether the limit itself is still within.'),
};

export const toleranceRuleSetSchema = z
  .strictObject({
    id: idSchema,
    ...ruleSetFields,
    amount: moneyNotNegativeSchema.nullable(),
    percent: percentSchema.nullable(),
    countersApart: moneyNotNegativeSchema.nullable().describe('More than this apart, two counters of the same cash raise a flag. Null: they are shown, and raise none.'),
    recordedAt: instantSchema,
    recordedBy: z.string(),
  })
  .meta({ id: 'ToleranceRuleSet' });
export type ToleranceRuleSet = z.infer<typeof toleranceRuleSetSchema>;
export const toleranceRuleSetsSchema = z.strictObject({
  items: z.array(toleranceRuleSetSchema),
  currencies: z.array(currencySchema).describe('In which sites that are not closed are settled.'),
  withoutTolerance: z.array(currencySchema).describe('Those of them in which no difference is followed up by its size today: no rule set is in force, and none holds of itself but in USD.'),
}).meta({ id: 'ToleranceRuleSets' });
export type ToleranceRuleSets = z.infer<typeof toleranceRuleSetsSchema>;

export const recordToleranceRuleSetSchema = z
  .strictObject({ id: idSchema.optional(), ...ruleSetFields, amount: moneyNotNegativeSchema.optional(), percent: percentSchema.optional(), countersApart: moneyNotNegativeSchema.optional() })
  .refine(({ amount, percent }) => amount !== undefined || percent !== undefined, { path: ['amount'], message: 'Give an amount, a percentage, or both.', params: { code: 'missing' } });
export type RecordToleranceRuleSet = z.infer<typeof recordToleranceRuleSetSchema>;

const unknownSchema = z
  .array(z.enum(['not-read', 'first-reading', 'reset-or-wrong', 'rollover-or-reset', 'above-ceiling', 'price-unread', 'board-unread', 'count-waits']))
  .describe('Why the expected amount is not known: a meter was not read, or for the first time at this place; it went back, and nobody recorded from what to what; `rollover-or-reset`: it went back, has too few digits to tell why, and nobody said so yet; it rose by more than the machine can earn; `price-unread`: a price changed in between, and the meter was not read then; `board-unread`: the board was opened or cleared in between, and the meter was not read then; `count-waits`: a meter was not read when the box was emptied before, and that count is not accepted yet.');
const comparedFields = {
  tender: varianceTenderSchema,
  expected: moneySchema.nullable().describe('Null where `unknown` says why.'),
  counted: moneySchema.describe('House coin and bad coin with it, which the meters have as well.'),
  variance: moneySchema.nullable().describe('Counted less expected: below zero is a shortage.'),
};

const figuresSchema = z
  .array(z.strictObject({ ...comparedFields, unknown: unknownSchema }))
  .describe('By tender, never netted.');

export const varianceFlagSchema = z
  .strictObject({
    id: idSchema,
    collectionId: idSchema,
    siteId: idSchema,
    siteCode: codeSchema,
    machineId: idSchema,
    machineTag: codeSchema,
    localDate: localDateSchema.describe('Day of the visit.'),
    accountingDate: localDateSchema,
    state: flagStateSchema,
    reasons: z.array(flagReasonSchema),
    figures: figuresSchema,
    raisedAt: instantSchema,
  })
  .meta({ id: 'VarianceFlag' });
export type VarianceFlag = z.infer<typeof varianceFlagSchema>;

export const varianceFlagListQuerySchema = pageQuerySchema.extend({
  state: flagStateSchema.optional(),
  siteId: idSchema.optional(),
  machineId: idSchema.optional(),
  collectorId: idSchema.optional().describe('Of collections made by this person, and of boxes that are compared over the visits of several, as readings were missed, of which they made one. It proves nothing about a person.'),
  from: localDateSchema.optional().describe('Of counts booked to this day or later ...'),
  before: localDateSchema.optional().describe('... and before this one.'),
});
export type VarianceFlagListQuery = z.infer<typeof varianceFlagListQuerySchema>;
export const varianceFlagPageSchema = pageSchema(varianceFlagSchema).meta({ id: 'VarianceFlagPage' });

export const varianceMonthQuerySchema = z.strictObject({ month: monthSchema, siteId: idSchema.optional() });
export type VarianceMonthQuery = z.infer<typeof varianceMonthQuerySchema>;

export const varianceMonthSchema = z.strictObject({
  month: monthSchema,
  totals: z.array(
    z.strictObject({
      currency: currencySchema,
      tender: varianceTenderSchema,
      counts: z.int().min(0).describe('Those of which meters say what is expected, and that nothing else explains.'),
      unknown: z.int().min(0).describe('Those of which they do not; in no sum.'),
      leftOut: z.int().min(0).describe('Those of which they do, and that a break-in or an outage explains; in no sum. What the report leaves out are these and the unknown ones.'),
      outOfTolerance: z.int().min(0),
      expected: moneySchema,
      counted: moneySchema,
      shortages: moneySchema.describe('Sum of what was missing, not above zero.'),
      overages: moneySchema,
    }),
  ),
  openFlags: z.int().min(0),
  explainedFlags: z.int().min(0),
  flags: z.array(varianceFlagSchema).describe('The first 50, open ones first, then by day; the list of flags has all.'),
  withheldSites: z.int().min(0).describe('Sites left out because you are counting there: their expected figures follow when the collection is accepted.'),
}).meta({ id: 'VarianceMonth' });
export type VarianceMonth = z.infer<typeof varianceMonthSchema>;

/** Boxes beside all that says what they held. */
const comparedBoxes = {
  items: z.array(
    z.strictObject({
      machineId: idSchema,
      machineTag: codeSchema,
      ...comparedFields,
      unknown: unknownSchema,
      source: z.enum(['meters', 'typed']).describe('`typed`: an amount that somebody entered for a machine whose meters are not recorded.'),
      since: instantSchema.nullable().describe('The reading from which the expected amount counts.'),
      counts: z.int().min(1).describe('Counts that are compared together: more than one where a reading was missed, all since then.'),
      outOfTolerance: z.boolean(),
      fieldCount: z
        .strictObject({
          counted: moneySchema.describe('As it was counted at the machine; house coin and bad coin with it, as the room found them.'),
          result: z.enum(['all-agree', 'meters-differ', 'field-count-differs', 'room-count-differs', 'unclear']).nullable().describe('Which of meters, field count and room count stands alone, within the tolerance. Null where meters or tolerance say nothing.'),
        })
        .nullable()
        .describe('Null where nobody counted at the machine, and where several emptyings are compared together.'),
      secondCounter: z
        .strictObject({
          expected: moneySchema.describe('What the box should hold by the second counters in the place of their firsts.'),
          apart: moneySchema.describe('By how much counters of the same cash are apart, pair by pair and never set off.'),
          tooFarApart: z.boolean().describe('More than the rule set allowed when it was accepted.'),
          result: z.enum(['all-agree', 'first-counter-differs', 'second-counter-differs', 'counted-differs', 'unclear']).nullable().describe('Which of both counters and the count stands alone, within the tolerance. Null where no tolerance is set.'),
        })
        .nullable()
        .describe('Null where the board has no second counter, or it was not read over the same time.'),
    }),
  ),
  witnesses: z
    .array(
      z.strictObject({
        machineId: idSchema,
        machineTag: codeSchema,
        expected: moneySchema.describe('By the meters of coins and notes together.'),
        plays: moneySchema.describe('The price of what was played, without test plays.'),
        counted: moneySchema,
        result: z.enum(['all-agree', 'counted-differs', 'cash-meters-differ', 'plays-differ', 'unclear']),
      }),
    )
    .describe('Machines whose boards count plays beside cash. Which of the three stands alone; it is in no sum.'),
};
const comparedSchema = z.strictObject(comparedBoxes).describe('Of each tender what meters, second counter, field count and room count say, and which of three stands alone.').meta({ id: 'ComparedBoxes' });
export type Compared = z.infer<typeof comparedSchema>;

export const varianceFlagDetailSchema = z.strictObject({
  flag: varianceFlagSchema,
  history: z.array(
    z.strictObject({
      kind: z.enum(['raised', 'explained', 'changed']).describe('`changed`: figures became others afterwards, by a correction or what was learned late.'),
      reasons: z.array(flagReasonSchema),
      figures: figuresSchema.describe('As they were then.'),
      cause: z.string().nullable(),
      evidence: z.string().nullable(),
      happenedAt: instantSchema,
      happenedBy: z.string(),
    }),
  ),
  compared: comparedSchema,
  unreadMeters: z.array(unreadMeterSchema).describe('Meters of the machine that were not read as its box was emptied, and why.'),
  openers: openersSchema.nullable().describe('Who could have opened this cash box since it was last emptied, or over all that is compared together. It proves nothing about a person.'),
  keyCheck: collectionKeyCheckSchema.nullable().describe('Whether who emptied the box held a fitting key.'),
  machineSays: z
    .array(z.strictObject({
      from: instantSchema.describe('Its last report before the box was emptied the time before, or before all that is compared together ...'),
      to: instantSchema.describe('... and its last report before this collection: takings after it are not in.'),
      amounts: z.array(z.strictObject({ tender: varianceTenderSchema, amount: moneySchema })),
    }))
    .describe('What the machine itself reported of the interval, beside meters and count: once for tenders that are compared over the same time. Empty where it did not report at both ends.'),
  machineEvents: z
    .array(z.strictObject({ kind: z.enum(['door', 'fault']).describe('`door`: it was open.'), fault: z.string().nullable(), startedAt: instantSchema.nullable().describe('Null: before that time.'), endedAt: instantSchema.nullable().describe('Null: not over as the box was emptied.') }))
    .describe('Open doors and faults that the machine itself reported since its box was emptied before, or over all that is compared together, by its own clock. When, and not who: it proves nothing about a person.'),
  withoutSecondPerson: z.boolean().describe('Explained by who had collected or counted, in a business of one.'),
}).meta({ id: 'VarianceFlagDetail' });
export type VarianceFlagDetail = z.infer<typeof varianceFlagDetailSchema>;

export const explainVarianceFlagSchema = z.strictObject({
  cause: z
    .enum(['counting-error', 'meter-error', 'refund-without-slip', 'test-plays', 'machine-fault', 'float-changed', 'break-in', 'theft-suspected', 'not-found'])
    .describe('What the difference comes from; `not-found` is an answer, too.'),
  evidence: reasonSchema.describe('What shows it: a recount, a photograph, a repair slip.'),
});
export type ExplainVarianceFlag = z.infer<typeof explainVarianceFlagSchema>;

export const varianceChartQuerySchema = z.strictObject({ tender: varianceTenderSchema.optional().describe('All tenders when left out.') });
export type VarianceChartQuery = z.infer<typeof varianceChartQuerySchema>;

export const varianceChartSchema = z.strictObject({
  machineId: idSchema,
  machineTag: codeSchema,
  sum: z.strictObject({
    reference: z.number(),
    decision: z.number(),
    falseAlarmEvery: z.number().describe('Counts between false alarms on average, where differences are normal and their spread is known exactly.'),
    findsOneSigmaAfter: z.number().describe('Counts on average until a steady shortage of one sigma is found.'),
  }),
  average: z
    .strictObject({ weight: z.number(), width: z.number(), falseAlarmEvery: z.number(), findsOneSigmaAfter: z.number() })
    .describe('Run lengths with the limits of the points, which widen from a start and from each signal.'),
  points: z.array(
    z.strictObject({
      collectionId: idSchema,
      localDate: localDateSchema,
      ...comparedFields,
      unknown: unknownSchema,
      outOfTolerance: z.boolean(),
      leftOut: z.boolean().describe('Something explains the interval: the charts pass it over.'),
      leftOutFor: z.enum(['break-in', 'outage']).nullable().describe('What explains it: a break-in, or that the machine was out of order for more than half of it.'),
      sigmas: z.number().nullable().describe('The variance in standard deviations of this machine; null while too little is known of it.'),
      sum: z.number(),
      average: z.number(),
      averageLimit: z.number(),
      signals: z.array(flagReasonSchema),
    }),
  ),
}).meta({ id: 'VarianceChart' });
export type VarianceChart = z.infer<typeof varianceChartSchema>;

const shownIds = (code: string, value: string) => z.array(idSchema).max(10_000).describe(`Those that the refused review named: \`${value}\` of each \`${code}\` among its \`errors\`. Nothing else is let pass.`);

export const overrideFlagsSchema = z.strictObject({ reason: reasonSchema, flagIds: shownIds('flag-not-explained', 'flagId'), placementIds: shownIds('box-not-counted', 'placementId') });
export type OverrideFlags = z.infer<typeof overrideFlagsSchema>;

export const collectionVariancesSchema = z.strictObject({ collectionId: idSchema, ...comparedBoxes }).meta({ id: 'CollectionVariances' });
export type CollectionVariances = z.infer<typeof collectionVariancesSchema>;
