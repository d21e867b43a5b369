import { z } from 'zod';
import { LEAST_SLACK_PERCENT, MOST_SLACK_PERCENT } from '#domain/counting/pieces';
import { idSchema, instantSchema, localDateSchema, reasonSchema } from './format';
import { pageQuerySchema, pageSchema } from './page';

const rules = {
  directHandOver: z.boolean().describe('Cash-box keys may go from one of the operator\'s people to another; otherwise they go back to the custodian first.'),
  acknowledgeWithinHours: z.int().min(1).max(720).describe('How long giver and receiver of a key have to confirm. 48 where nothing was decided.'),
  inventoryEveryMonths: z.literal([1, 3, 6]).describe('How often all keys are counted. 3 where nothing was decided (25 CFR 543.24(d)(8)(iv): quarterly).'),
  custodianApart: z.boolean().describe('Whoever keeps the keys that nobody was given does not collect.'),
  onePersonReviewOn: localDateSchema
    .nullable()
    .describe('The business is one person: what wants a second one is done by the first and labelled, until somebody joins. To be looked at again by this day. Null: a second person is needed.'),
};

const weighWithinPercentSchema = z.int().min(LEAST_SLACK_PERCENT).max(MOST_SLACK_PERCENT);

/** What the owner decided about the rules that may be relaxed. */
export const policySchema = z
  .strictObject({
    ...rules,
    weighWithinPercent: weighWithinPercentSchema.describe('How near to a whole number of pieces a weight of coins must come, in percent of a piece; else it is weighed again. 25 where nothing was decided.'),
    effectiveFrom: instantSchema.nullable().describe('Null while nothing was decided and the strict side of each rule holds.'),
    relaxed: z.array(z.string()).describe('What is not as strict as it could be, a sentence each.'),
    reason: z.string().nullable(),
    recordedAt: instantSchema.nullable(),
    recordedBy: z.string().nullable(),
  })
  .meta({ id: 'Policy' });
export type Policy = z.infer<typeof policySchema>;

export const policiesSchema = z
  .strictObject({
    current: policySchema,
    onePersonHolds: z.boolean().describe('Whether one person may act alone now: the policy says so and nobody else could be the second.'),
    reviewOverdue: z.boolean().describe('The day has passed by which somebody wanted to look at it again.'),
    secondPeople: z.array(z.string()).describe('Names of all members who could be a second person to somebody.'),
    decided: z.array(policySchema).describe('Everything that was decided, the latest first; what takes effect later is among it, unless something was decided after it.'),
  })
  .meta({ id: 'Policies' });
export type Policies = z.infer<typeof policiesSchema>;

export const decidePolicySchema = z.strictObject({
  id: idSchema.optional(),
  ...rules,
  weighWithinPercent: weighWithinPercentSchema.optional().describe('How near to a whole number of pieces a weight of coins must come, in percent of a piece. As it was, when left out.'),
  effectiveFrom: instantSchema.optional().describe('Now when left out; never earlier.'),
  reason: reasonSchema,
});
export type DecidePolicy = z.infer<typeof decidePolicySchema>;

/** Rules that were relaxed for a record: which one would have refused it. */
export const relaxedRuleSchema = z
  .enum(['second-person', 'custodian-apart', 'back-to-custodian'])
  .describe('`second-person`: made by one person alone; `custodian-apart`: who collects keeps the keys nobody was given; `back-to-custodian`: a cash-box key went from hand to hand.');

export const relaxedRecordSchema = z
  .strictObject({
    recordId: idSchema.describe('Of the event, inventory, custodian, count, slip, hand-out, report or break-in.'),
    rule: relaxedRuleSchema,
    kind: z.enum(['custody-event', 'key-count', 'custodian', 'count', 'refund-slip', 'cash-handed', 'cashless-taking', 'break-in', 'meter-reading', 'variance-flag', 'bank-detail', 'collection-discard', 'bag-step', 'device-release', 'visit-discard', 'visit-seen', 'metered-amount', 'certificate-revocation', 'payment-run', 'outage', 'meter-price', 'cash-hand-in', 'field-count', 'bag']),
    about: z.string().nullable().describe('Numbers of the keys, the store, or machine and site; null for a count of all keys.'),
    collectionId: idSchema.nullable().describe('The collection of the figure.'),
    reviewOn: localDateSchema.nullable().describe('By when the owner wanted to look again at whether one person is still enough, as decided when it was made.'),
    recordedAt: instantSchema,
    recordedBy: z.string(),
  })
  .meta({ id: 'RelaxedRecord' });
export type RelaxedRecord = z.infer<typeof relaxedRecordSchema>;
export const relaxedRecordPageSchema = pageSchema(relaxedRecordSchema);
export const relaxedRecordQuerySchema = pageQuerySchema.extend({ rule: relaxedRuleSchema.optional().describe('Only these; `second-person`: what one person made alone.') });
export type RelaxedRecordQuery = z.infer<typeof relaxedRecordQuerySchema>;
