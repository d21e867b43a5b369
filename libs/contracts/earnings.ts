import { toDayNumber } from '#domain/calendar/local-date';
import { z } from 'zod';
import { codeSchema, currencySchema, idSchema, localDateSchema, nameSchema } from './format';
import { machineKindSchema } from './machine-kind';
import { moneySchema } from './money';

const MOST_DAYS = 731;

export const earningsQuerySchema = z
  .strictObject({
    from: localDateSchema.describe('Counts of visits on this day or later ...'),
    before: localDateSchema.describe('... and before this one; two years at most.'),
    currency: currencySchema.optional().describe('Sites kept in this currency; the operator\'s own when left out.'),
  })
  .refine(({ from, before }) => from < before, { path: ['before'], message: 'must lie after the first day', params: { code: 'before-start' } })
  .refine(({ from, before }) => toDayNumber(before) - toDayNumber(from) <= MOST_DAYS, { path: ['before'], message: 'must lie two years after the first day at most', params: { code: 'too-long' } });
export type EarningsQuery = z.infer<typeof earningsQuerySchema>;

const earned = {
  days: z.int().describe('Days in service between counts, added up over cabinets: a day on which a machine was out of order from morning to night is none.'),
  takings: moneySchema.describe('Counted cash and card takings of these days.'),
  perDay: moneySchema.describe('takings / days, rounded half up.'),
  trendPercent: z.number().nullable().describe('How much more, in per cent, a day brought in the second half of the days than in the first. Null where a half has no count.'),
};

/** Estimated, never owed: a number with its range. */
const estimate = z
  .strictObject({ percent: z.number(), least: z.number(), most: z.number() })
  .describe('Above or below average in per cent, and the range in which it lies in nine of ten cases.');

export const placeEarningsSchema = z
  .strictObject({ siteId: idSchema, siteCode: codeSchema, siteName: nameSchema, ...earned, effect: estimate.nullable().describe('Null where too little was counted, or one game only stood there, so that place and game cannot be told apart.') })
  .meta({ id: 'PlaceEarnings' });
export const cabinetEarningsSchema = z.strictObject({ machineId: idSchema, machineTag: codeSchema, kind: machineKindSchema, ...earned }).meta({ id: 'CabinetEarnings' });
export const gameEarningsSchema = z
  .strictObject({ gameId: idSchema, gameCode: codeSchema, title: nameSchema, kind: machineKindSchema, ...earned, effect: estimate.nullable().describe('Null where too little was counted, or it stood at one place only.') })
  .meta({ id: 'GameEarnings' });

const swapSideSchema = z.strictObject({ machineId: idSchema, machineTag: codeSchema, siteId: idSchema, siteCode: codeSchema, siteName: nameSchema, gameId: idSchema, title: nameSchema });
export const swapSchema = z
  .strictObject({
    first: swapSideSchema.describe('A game that its place is too good for.'),
    second: swapSideSchema.describe('A game that would earn more at the place of the first.'),
    gainPerDay: moneySchema.describe('Estimated, of both places together.'),
    least: moneySchema.describe('In nine of ten cases it is more than this ...'),
    most: moneySchema.describe('... and less than this.'),
  })
  .meta({ id: 'Swap' });

export const earningsSchema = z
  .strictObject({
    from: localDateSchema,
    before: localDateSchema,
    currency: currencySchema,
    places: z.array(placeEarningsSchema).describe('Best takings a day first.'),
    cabinets: z.array(cabinetEarningsSchema),
    games: z.array(gameEarningsSchema),
    swaps: z.array(swapSchema).describe('Worth trying, the best first; each cabinet once. Empty where nothing is sure enough.'),
    model: z.string().describe('How the estimates are made, in words.'),
    leftOut: z.strictObject({
      changed: z.int().describe('Counts over days in which the game was changed: in the takings of place and cabinet, and in no estimate.'),
      otherCurrencies: z.int().describe('Counts in other currencies.'),
    }),
    withheldSites: z.int().min(0).describe('Sites left out because you are counting there.'),
  })
  .meta({ id: 'Earnings' });
export type Earnings = z.infer<typeof earningsSchema>;
