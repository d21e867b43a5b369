import { toDayNumber } from '#domain/calendar/local-date';
import { z } from 'zod';
import { currencySchema, idSchema, localDateSchema } from './format';
import { moneySchema } from './money';
import { varianceTenderSchema } from './variance';

const MOST_DAYS = 731;
const bySchema = z.enum(['machine', 'site', 'collector', 'month']);

export const varianceReportQuerySchema = z
  .strictObject({
    by: bySchema,
    from: localDateSchema.describe('Counts booked to this day or later ...'),
    to: localDateSchema.describe('... up to and including this one; two years at most.'),
    siteId: idSchema.optional(),
    machineId: idSchema.optional(),
    collectorId: idSchema.optional().describe('Collections made by this person alone: what is compared with what others collected before, over missed readings, is of none of them.'),
    tender: varianceTenderSchema.optional().describe('Amounts of coins or of notes alone, as far as meters tell them apart; flags are of the whole box.'),
  })
  .refine(({ from, to }) => from <= to, { path: ['to'], message: 'The last day lies before the first.', params: { code: 'before-from' } })
  .refine(({ from, to }) => toDayNumber(to) - toDayNumber(from) < MOST_DAYS, { path: ['to'], message: 'Two years at most.', params: { code: 'too-long' } });
export type VarianceReportQuery = z.infer<typeof varianceReportQuerySchema>;

export const varianceReportSchema = z
  .strictObject({
    by: bySchema,
    from: localDateSchema,
    to: localDateSchema,
    tender: varianceTenderSchema.nullable().describe('Null: all.'),
    rows: z
      .array(
        z.strictObject({
          id: idSchema.nullable().describe('Of the machine, site or collector; null for a month, for collections that name no collector, and for those of several.'),
          several: z.boolean().describe('By collector: what is compared over the visits of several, tender by tender, as readings were missed; a flag is of the whole box. Nothing says what part of a difference is whose.'),
          code: z.string().describe('Tag of the machine, code of the site or collector, or the month; empty where no collector is named, and where there are several.'),
          name: z.string().describe('Kind of the machine, name of the site or collector.'),
          currency: currencySchema,
          counts: z.int().min(0).describe('Boxes that were counted, each once, whatever the number of tenders.'),
          outOfTolerance: z.int().min(0).describe('Those of them of which a tender is out of tolerance.'),
          countersApart: z.int().min(0).describe('Counts whose two counters are further apart than the rule set said.'),
          leftOut: z.int().min(0).describe('Counts after a break-in or an outage, and those of which meters do not say what was expected: in no figure of this row. Of a box of which one tender is known and the other not, the known one is.'),
          expected: moneySchema,
          counted: moneySchema,
          shortages: moneySchema.describe('Sum of what was missing by count and tender, not above zero.'),
          overages: moneySchema.describe('Sum of what was too much by count and tender. Never set off against shortages.'),
          openFlags: z.int().min(0),
          explainedFlags: z.int().min(0),
        }),
      )
      .describe('Months in their order, all else with the greatest shortages first; 1,000 rows at most, the file has all.'),
    hasMore: z.boolean(),
    withheldSites: z.int().min(0).describe('Sites left out because you are counting there.'),
  })
  .meta({ id: 'VarianceReport' });
export type VarianceReport = z.infer<typeof varianceReportSchema>;
