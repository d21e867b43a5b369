import { toDayNumber } from '#domain/calendar/local-date';
import { z } from 'zod';
import { idSchema, localDateSchema } from './format';
import { keyPersonSchema } from './key-whereabouts';

const MOST_DAYS = 731;

export const varianceAttributionQuerySchema = z
  .strictObject({
    from: localDateSchema.describe('Counts booked to this day or later ...'),
    to: localDateSchema.describe('... up to and including this one; two years at most.'),
  })
  .refine(({ from, to }) => from <= to, { path: ['to'], message: 'The last day lies before the first.', params: { code: 'before-from' } })
  .refine(({ from, to }) => toDayNumber(to) - toDayNumber(from) < MOST_DAYS, { path: ['to'], message: 'Two years at most.', params: { code: 'too-long' } });
export type VarianceAttributionQuery = z.infer<typeof varianceAttributionQuerySchema>;

const intervalsSchema = z.strictObject({ short: z.int().min(0), all: z.int().min(0) });
const chanceFields = {
  chance: z.number().min(0).max(1).describe('Chance of figures no more likely than these if custody and shortage had nothing to do with each other.'),
  correctedChance: z.number().min(0).max(1).describe('The same, corrected for the number of people that it is asked of.'),
};

export const varianceAttributionSchema = z
  .strictObject({
    caution: z.string().describe('To be read before the figures.'),
    method: z.string().describe('How the figures were found, in words.'),
    from: localDateSchema,
    to: localDateSchema,
    result: z
      .enum(['compared', 'nobody-to-compare', 'no-keys', 'no-intervals'])
      .describe('`no-intervals`: no box with meters was emptied twice; `no-keys`: nobody held a key to one that was; `nobody-to-compare`: whoever held one held it all the time.'),
    intervals: intervalsSchema.describe('Times between two emptyings of a box with meters, and how many ended short.'),
    items: z.array(
      z.strictObject({
        person: keyPersonSchema,
        held: intervalsSchema.describe('Intervals in which the person held a fitting key or kept the store where one lay, for any time.'),
        notHeld: intervalsSchema.describe('The other intervals of the same machines.'),
        ...chanceFields,
        withinMachines: z
          .strictObject({ machines: z.int().min(0), ...chanceFields })
          .describe('Each machine compared with itself alone. Where this chance is much larger than the one over all, the machines differ, not the person.'),
      }),
    ).describe('Who was with more shortages than without, the least likely first; then the others. An association, and no proof of anything about a person.'),
    alwaysHeld: z.array(z.strictObject({ person: keyPersonSchema, held: intervalsSchema })).describe('Who held a key in every interval: there is nothing to compare with.'),
    withheldSites: z.int().min(0).describe('Sites left out because you are counting there.'),
    readId: idSchema.describe('Under this id the audit trail says that you looked.'),
  })
  .meta({ id: 'VarianceAttribution' });
export type VarianceAttribution = z.infer<typeof varianceAttributionSchema>;
