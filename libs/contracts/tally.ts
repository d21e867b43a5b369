import { z } from 'zod';
import { currencySchema, idSchema, instantSchema, localDateSchema, nameSchema } from './format';
import { moneySchema } from './money';
import { pageQuerySchema, pageSchema } from './page';

/** `1134` or `1134.25`: grams with at most three digits after the point. */
export const gramsSchema = z
  .string()
  .regex(/^(0|[1-9]\d{0,6})(\.\d{1,3})?$/, 'must be grams with at most three digits after the point, e.g. 1134.25')
  .describe('Grams, exact to a milligram: 1134.25.');

export const issueIdSchema = z.string().min(1).max(64);

/** One denomination of a count: in pieces or by weight; or an unsorted bag of coins that weigh the same for the same value. */
export const tallyEntrySchema = z
  .strictObject({
    issueId: issueIdSchema.optional().describe('As `GET /v1/coin-sets` names it.'),
    mixedIssueIds: z.array(issueIdSchema).min(2).max(10).optional().describe('Instead: coins that lie unsorted and weigh the same for the same value, as dimes, quarters and half dollars do.'),
    pieces: z.int().min(0).max(1_000_000).optional(),
    grams: gramsSchema.optional().describe('Instead of pieces: weight of the coins alone, without bag or tray.'),
  })
  .refine(({ issueId, mixedIssueIds }) => (issueId === undefined) !== (mixedIssueIds === undefined), {
    path: ['issueId'],
    message: 'Name one denomination, or those of a mixed bag.',
    params: { code: 'one-of-two' },
  })
  .refine(({ pieces, grams }) => (pieces === undefined) !== (grams === undefined), { path: ['pieces'], message: 'Give pieces or grams.', params: { code: 'one-of-two' } })
  .refine(({ mixedIssueIds, pieces }) => mixedIssueIds === undefined || pieces === undefined, { path: ['grams'], message: 'A mixed bag is weighed.', params: { code: 'missing' } });
export type TallyEntryCommand = z.infer<typeof tallyEntrySchema>;

export const tallySchema = z.array(tallyEntrySchema).min(1).max(60);

/** A denomination of a count as it was valued. */
export const tallyLineSchema = z
  .strictObject({
    issueIds: z.array(issueIdSchema).min(1),
    name: z.string(),
    pieces: z.int().min(0).nullable().describe('Null for a mixed bag, which is valued and not counted.'),
    grams: gramsSchema.nullable().describe('Null for what was counted by hand.'),
    value: moneySchema,
    possible: z
      .strictObject({ least: moneySchema, most: moneySchema })
      .nullable()
      .describe('What the weight could also be worth, were the coins at the edge of what the mint may issue; null where no tolerance is published.'),
  })
  .meta({ id: 'TallyLine' });
export type TallyLineView = z.infer<typeof tallyLineSchema>;

export const coinSetSchema = z
  .strictObject({
    currency: currencySchema,
    readOn: localDateSchema.describe('When the sources were read.'),
    weighWithinPercent: z.int().describe('How near to a whole number of pieces a weight must come now, in percent of a piece, as the owner decided (`/v1/policy`).'),
    issues: z.array(
      z
        .strictObject({
          id: issueIdSchema,
          name: z.string(),
          tender: z.enum(['coin', 'note']),
          face: moneySchema,
          pieceGrams: gramsSchema.nullable().describe('Of one piece; null where it is not counted by weight.'),
          from: localDateSchema.nullable().describe('First day on which it was money; null where that is longer ago than any book here. Where only the year is known, the first of it.'),
          until: localDateSchema.nullable().describe('Last day on which it was money; null while it is. A box may still hold it 92 days later.'),
          source: z.string().describe('Where face, weight and days were read.'),
        })
        .meta({ id: 'CashIssue' }),
    ),
  })
  .meta({ id: 'CoinSet' });
export type CoinSet = z.infer<typeof coinSetSchema>;
export const coinSetQuerySchema = z.strictObject({ currency: currencySchema.optional().describe('Only the coins and notes of this currency.') });
export type CoinSetQuery = z.infer<typeof coinSetQuerySchema>;
export const coinSetsSchema = z.strictObject({ items: z.array(coinSetSchema) });
export type CoinSets = z.infer<typeof coinSetsSchema>;

export const recordScaleCheckSchema = z.strictObject({
  id: idSchema.optional(),
  scale: nameSchema.describe('Which scale: a name or number on it.'),
  referenceGrams: gramsSchema.refine((grams) => /[1-9]/.test(grams), { message: 'must be above zero', params: { code: 'not-positive' } }).describe('Of the known weight.'),
  shownGrams: gramsSchema.describe('What the scale showed for it.'),
  happenedAt: instantSchema,
});
export type RecordScaleCheck = z.infer<typeof recordScaleCheckSchema>;

export const scaleCheckSchema = z
  .strictObject({
    id: idSchema,
    scale: nameSchema,
    referenceGrams: gramsSchema,
    shownGrams: gramsSchema,
    right: z.boolean().describe('Within one part in a thousand. Nothing is counted by weight on a scale that is not.'),
    happenedAt: instantSchema,
    recordedAt: instantSchema,
    recordedBy: z.string(),
  })
  .meta({ id: 'ScaleCheck' });
export type ScaleCheck = z.infer<typeof scaleCheckSchema>;
export const scaleCheckPageSchema = pageSchema(scaleCheckSchema);
export const scaleCheckListQuerySchema = pageQuerySchema;
export type ScaleCheckListQuery = z.infer<typeof scaleCheckListQuerySchema>;
