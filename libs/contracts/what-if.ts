import { toDayNumber } from '#domain/calendar/local-date';
import { steps } from '#domain/settlement/lines';
import { z } from 'zod';
import { codeSchema, currencySchema, idSchema, localDateSchema, nameSchema } from './format';
import { moneySchema } from './money';
import { fieldErrorSchema } from './problem';
import { termsChangesSchema, termsSchema } from './terms';

/** Twelve months, one of which may have a leap day; thirteen periods of four weeks are shorter. */
const MOST_DAYS = 366;

/** Past periods under other terms: either whole terms, or members that take the place of those that were signed. */
export const whatIfSchema = z
  .strictObject({
    startsOn: localDateSchema.describe('Periods that begin on or after this day ...'),
    endsBefore: localDateSchema.describe('... and before this one; a year at most.'),
    siteIds: z
      .array(idSchema)
      .min(1)
      .max(500)
      .refine((ids) => new Set(ids).size === ids.length, 'names a site twice')
      .optional()
      .describe('Left out: all sites. With one site, the answer has its lines.'),
    terms: termsSchema.optional().describe('Whole terms. `site` stands for the party of each agreement, so that they fit several sites.'),
    changes: termsChangesSchema.optional().describe('Members of the terms; what is not named stays as each version has it. `site` stands for the party of each agreement.'),
  })
  .refine(({ startsOn, endsBefore }) => startsOn < endsBefore, { path: ['endsBefore'], message: 'must lie after the first day', params: { code: 'before-start' } })
  .refine(({ startsOn, endsBefore }) => toDayNumber(endsBefore) - toDayNumber(startsOn) <= MOST_DAYS, {
    path: ['endsBefore'],
    message: 'must lie a year after the first day at most',
    params: { code: 'too-long' },
  })
  .refine(({ terms, changes }) => (terms === undefined) !== (changes === undefined), {
    path: ['changes'],
    message: 'Either whole terms or changes are needed, and not both.',
    params: { code: 'one-of-two' },
  });
export type WhatIf = z.infer<typeof whatIfSchema>;

export const whatIfAmountsSchema = z
  .strictObject({ before: moneySchema.describe('As issued, with what later settlements added.'), after: moneySchema, difference: moneySchema.describe('after - before') })
  .meta({ id: 'WhatIfAmounts' });
export type WhatIfAmounts = z.infer<typeof whatIfAmountsSchema>;

const partySchema = z.strictObject({
  partyId: z.string().describe('Id of the party; `operator` for the operator.'),
  role: z.enum(['operator', 'site', 'other']),
  name: z.string(),
  currency: currencySchema,
  shares: whatIfAmountsSchema.describe('After guarantees and caps.'),
  charges: whatIfAmountsSchema,
  borne: whatIfAmountsSchema.describe('Stolen cash that the party makes good; of the operator also tax out of its own share, tokens at the value at which they are shared, and what the meters imply beyond the counted cash (below zero where more was counted).'),
  total: whatIfAmountsSchema.describe('shares + charges - borne'),
  periods: z.array(z.strictObject({ startsOn: localDateSchema, endsBefore: localDateSchema, total: whatIfAmountsSchema })),
});

const siteSchema = z.strictObject({
  siteId: idSchema,
  siteCode: codeSchema,
  siteName: nameSchema,
  agreementId: idSchema,
  operator: whatIfAmountsSchema.describe('What the operator has of the site in total.'),
  site: whatIfAmountsSchema.describe('What the site has in total.'),
  others: whatIfAmountsSchema,
});

const lineSchema = z.strictObject({
  agreementId: idSchema,
  startsOn: localDateSchema,
  step: z.enum(steps),
  kind: z.string(),
  label: z.string(),
  machineTag: z.string().nullable(),
  party: z.string().nullable().describe('Name of the party.'),
  amounts: whatIfAmountsSchema,
});

export const whatIfAnswerSchema = z
  .strictObject({
    startsOn: localDateSchema,
    endsBefore: localDateSchema,
    agreements: z.int().describe('Agreements that were computed.'),
    periods: z.int().describe('Their periods, all together.'),
    totals: z.array(
      z.strictObject({
        currency: currencySchema,
        takings: whatIfAmountsSchema,
        tax: whatIfAmountsSchema.describe('Before the split and out of the operator\'s share.'),
        carried: whatIfAmountsSchema.describe('Loss carried on to later periods less loss brought forward; below zero, later periods pay for it.'),
      }),
    ),
    parties: z.array(partySchema),
    sites: z.array(siteSchema),
    lines: z.array(lineSchema).nullable().describe('Every figure of the one site that was asked for, or null.'),
    sentences: z.array(z.string()).nullable().describe('The terms asked for in plain words, as they would stand at the end of the days; for one site, or null.'),
    notComputed: z
      .array(z.strictObject({ agreementId: idSchema, siteId: idSchema, siteCode: codeSchema, errors: z.array(fieldErrorSchema) }))
      .describe('Agreements for which these terms cannot be computed or break a limit, with the reasons. They are in none of the sums.'),
  })
  .meta({ id: 'WhatIfAnswer' });
export type WhatIfAnswer = z.infer<typeof whatIfAnswerSchema>;
