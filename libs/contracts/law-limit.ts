import { z } from 'zod';
import { isDecimal, oneHundred, toBillionths, type Decimal } from '#domain/money/decimal';
import type { LawLimit } from '#domain/tax/types';
import { idSchema, localDateSchema } from './format';
import { pageQuerySchema, pageSchema } from './page';

/** The cast says what the check makes sure of. */
export const percentSchema = z
  .string()
  .max(29)
  .refine(isPercent, 'must be a plain decimal from 0 to 100 with at most nine places and no superfluous zeros')
  .describe('Percent, exact: 50.') as unknown as z.ZodType<Decimal, Decimal>;

/** What the law of the place allows in an agreement. */
export const lawLimitDocumentSchema = z
  .discriminatedUnion('kind', [
    z.strictObject({ kind: z.literal('highest-site-share').describe('The site may have at most this part of what is left after tax.'), percent: percentSchema }),
    z.strictObject({ kind: z.literal('fixed-split').describe('The law itself divides what is left.'), operatorPercent: percentSchema, sitePercent: percentSchema }),
    z.strictObject({ kind: z.literal('no-advances').describe('The operator must not advance money to the site.') }),
  ])
  .superRefine((document, context) => {
    if (document.kind !== 'fixed-split' || !isPercent(document.operatorPercent) || !isPercent(document.sitePercent)) return;
    if (toBillionths(document.operatorPercent) + toBillionths(document.sitePercent) <= oneHundred) return;
    context.addIssue({ code: 'custom', path: ['sitePercent'], message: 'Operator and site together have more than 100 percent.', params: { code: 'above-hundred' } });
  })
  .meta({ id: 'LawLimitDocument' });
export type LawLimitDocument = z.infer<typeof lawLimitDocumentSchema>;

const sourceSchema = z.string().trim().min(1).max(500).describe('Where it is published, and when it was read. Whoever is refused because of it is told so.');

export const lawLimitSchema = z
  .strictObject({
    id: idSchema,
    taxAreaId: idSchema,
    validFrom: localDateSchema.describe('First day in force.'),
    validTo: localDateSchema.nullable().describe('First day no longer in force, or null.'),
    source: sourceSchema,
    document: lawLimitDocumentSchema,
  })
  .meta({ id: 'LawLimit' });
export type LawLimitRecord = z.infer<typeof lawLimitSchema>;

export const createLawLimitSchema = z.strictObject({
  id: idSchema.optional(),
  validFrom: localDateSchema,
  validTo: localDateSchema.nullable().default(null),
  source: sourceSchema,
  document: lawLimitDocumentSchema,
});
export type CreateLawLimit = z.infer<typeof createLawLimitSchema>;

export const endLawLimitSchema = z.strictObject({ validTo: localDateSchema.describe('First day no longer in force.') });
export type EndLawLimit = z.infer<typeof endLawLimitSchema>;

export const lawLimitParamsSchema = z.strictObject({ id: idSchema, limitId: idSchema });

export const lawLimitListQuerySchema = pageQuerySchema.extend({ on: localDateSchema.optional().describe('Only limits in force on this day.') });
export type LawLimitListQuery = z.infer<typeof lawLimitListQuerySchema>;
export const lawLimitPageSchema = pageSchema(lawLimitSchema);

/** The domain's limit of a recorded one. */
export function toLawLimit({ id, taxAreaId, validFrom, validTo, source, document }: LawLimitRecord): LawLimit {
  return { id, areaId: taxAreaId, source, from: validFrom, until: validTo, ...document };
}

function isPercent(text: string): boolean {
  if (!isDecimal(text)) return false;
  const value = toBillionths(text);
  return value >= 0n && value <= oneHundred;
}
