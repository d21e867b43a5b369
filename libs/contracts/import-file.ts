import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, localDateSchema } from './format';
import { moneySchema } from './money';
import { pageSchema } from './page';

/** Files of collections, or of keys and locks: uploaded, checked whole, and entered in the books only when somebody accepts them. */
const importKindSchema = z.enum(['collections', 'keys']).describe('`collections`: what was counted; `keys`: key codes, their copies with who has them, and locks.');

export const importFileSchema = z
  .strictObject({
    id: idSchema,
    kind: importKindSchema,
    fileName: z.string(),
    byteSize: z.number().int().describe('Size in bytes.'),
    sha256: z.string().describe('SHA-256 of the bytes, in hexadecimal.'),
    state: z
      .enum(['staged', 'refused', 'accepted', 'discarded'])
      .describe('`staged`: without errors, waiting to be accepted. `refused`: has errors, nothing of it will be entered.'),
    delimiter: z.enum([',', ';']),
    decimalMark: z.enum(['.', ',']),
    rowCount: z.number().int().describe('Lines below the first.'),
    errorCount: z.number().int(),
    errorCounts: z.record(z.string(), z.number().int()).describe('Number of errors by reason, over the whole file.'),
    uploadedBy: z.string(),
    uploadedAt: instantSchema,
    acceptedBy: z.string().nullable(),
    acceptedAt: instantSchema.nullable(),
    sameAs: z
      .strictObject({ id: idSchema, fileName: z.string(), state: z.string(), uploadedAt: instantSchema })
      .nullable()
      .describe('An earlier upload of the very same bytes, if there is one.'),
  })
  .meta({ id: 'ImportFile' });
export type ImportFile = z.infer<typeof importFileSchema>;
export const importFilePageSchema = pageSchema(importFileSchema);

export const importErrorSchema = z
  .strictObject({
    lineNumber: z.number().int().describe('Line of the file, the first being 1.'),
    column: z.string().describe('Name of the column, empty when the line as a whole is meant.'),
    code: z.string().describe('Stable reason.'),
    message: z.string().describe('The reason for people.'),
    value: z.string().describe('What stands in the cell, shortened.'),
  })
  .meta({ id: 'ImportError' });
export type ImportError = z.infer<typeof importErrorSchema>;
export const importErrorListSchema = z.strictObject({ items: z.array(importErrorSchema).describe('The first 1,000 errors in the order of the file.') });

export const importWarningSchema = z
  .strictObject({
    code: z.enum(['refund-answers-no-claim']).describe('The sum of refund slips in a line is neither that of the open claims of its machine up to that day, nor the amount of one of them: it takes over none, and they stay open.'),
    lineNumber: z.number().int().nullable().describe('Line of the file; null once it was accepted.'),
    collectionId: idSchema.nullable().describe('The collection that the line became; null before.'),
    siteCode: codeSchema,
    machineTag: codeSchema,
    collectedOn: localDateSchema,
    refund: moneySchema.describe('What the line says.'),
    openClaims: z.number().int().describe('How many claims lie open.'),
    openSum: moneySchema.describe('What they say together.'),
  })
  .meta({ id: 'ImportWarning' });
export type ImportWarning = z.infer<typeof importWarningSchema>;
export const importWarningListSchema = z.strictObject({ items: z.array(importWarningSchema).describe('The first 1,000 in the order of their visits, as things are now.') });

export const importUploadQuerySchema = z.strictObject({
  kind: importKindSchema.default('collections'),
  fileName: z.string().trim().min(1).max(200).default('file.csv').describe('Name to show in lists.'),
  decimalMark: z.enum(['.', ',']).optional().describe("Decimal mark of the amounts; the operator's setting when left out."),
});
