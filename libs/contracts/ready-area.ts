import { z } from 'zod';
import { countrySchema, currencySchema, idSchema, localDateSchema, nameSchema } from './format';
import { lawLimitDocumentSchema } from './law-limit';
import { taxCodeSchema, taxRuleDocumentSchema } from './tax';

const readyAreaIdSchema = z.string().regex(/^[a-z0-9][a-z0-9-]{0,39}$/, 'must be 1 to 40 small letters, digits or hyphens, beginning with a letter or digit').describe('Names the ready area: `us-il`.');
const sourceSchema = z.string().min(1).max(500).describe('Where it is published, and when it was read.');

/** A place with its taxes and limits as they were published: a draft to copy and to check, never law of its own. */
export const readyTaxAreaSchema = z
  .strictObject({
    id: readyAreaIdSchema,
    code: taxCodeSchema.describe('Code of the copy, unless another one is given.'),
    name: nameSchema,
    country: countrySchema,
    currency: currencySchema,
    caution: z.string().describe('What to do before using it.'),
    notes: z.array(z.string()).describe('What its rules leave open.'),
    rules: z.array(z.strictObject({ code: taxCodeSchema, validFrom: localDateSchema, validTo: localDateSchema.nullable(), source: sourceSchema, document: taxRuleDocumentSchema })),
    limits: z.array(z.strictObject({ validFrom: localDateSchema, validTo: localDateSchema.nullable(), source: sourceSchema, document: lawLimitDocumentSchema })),
  })
  .meta({ id: 'ReadyTaxArea' });
export type ReadyTaxArea = z.infer<typeof readyTaxAreaSchema>;

export const readyTaxAreasSchema = z.strictObject({ items: z.array(readyTaxAreaSchema).describe('By country and name.') });
export type ReadyTaxAreas = z.infer<typeof readyTaxAreasSchema>;

export const readyTaxAreaQuerySchema = z.strictObject({ country: countrySchema.optional().describe('Only areas of this country.') });
export type ReadyTaxAreaQuery = z.infer<typeof readyTaxAreaQuerySchema>;

export const copyReadyTaxAreaSchema = z.strictObject({
  id: idSchema.optional().describe('Id of the new tax area.'),
  readyAreaId: readyAreaIdSchema,
  code: taxCodeSchema.optional(),
  name: nameSchema.optional(),
});
export type CopyReadyTaxArea = z.infer<typeof copyReadyTaxAreaSchema>;
