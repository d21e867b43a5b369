import { isLocalDate } from '#domain/calendar/local-date';
import { z } from 'zod';
import { currencySchema, idSchema, instantSchema, localDateSchema, nameSchema } from './format';
import { moneySchema } from './money';
import { pageQuerySchema, pageSchema } from './page';
import { taxCodeSchema } from './tax';

export const filingMonthSchema = z
  .string()
  .regex(/^\d{4}-(0[1-9]|1[0-2])$/, 'must be a month, such as 2026-03')
  .refine((month) => isLocalDate(`${month}-01`), 'is not a month from 1900 to 2199')
  .describe('Calendar month, ISO 8601: 2026-03. A count belongs to the month of its accounting date.');

const returnKindSchema = z
  .enum(['original', 'amended', 'booking'])
  .describe('`amended`: the tax is another one than was filed before. `booking`: only what settlements booked of it is.');
const differenceCauseSchema = z.enum(['rounding', 'negative-bases', 'not-settled', 'timing', 'settled-otherwise']);
const digestSchema = z.string().regex(/^[0-9a-f]{64}$/).describe('SHA-256 of the figures: it changes when one of them does.');

const componentFigures = {
  ruleId: idSchema,
  componentId: z.string(),
  base: moneySchema.describe('Net takings of the machines that the component covers; zero for a tax per machine.'),
  tax: moneySchema,
};

export const worksheetRuleSchema = z
  .strictObject({
    ruleId: idSchema,
    code: z.string(),
    title: nameSchema,
    source: z.string(),
    method: z.enum(['inside', 'on-takings', 'fixed']),
    base: moneySchema,
    taxable: moneySchema.nullable().describe('The base without the tax that the price contains; null for other taxes.'),
    tax: moneySchema,
    carriedIn: moneySchema.describe('Negative tax that the return of the month before carried; zero or below.'),
    carriedOut: moneySchema,
    components: z.array(z.strictObject({ ...componentFigures, title: z.string() })),
  })
  .meta({ id: 'TaxWorksheetRule' });

const siteFields = { siteId: idSchema, siteCode: z.string() };

export const taxWorksheetSchema = z
  .strictObject({
    taxAreaId: idSchema,
    areaCode: taxCodeSchema,
    areaName: nameSchema,
    month: filingMonthSchema,
    currency: currencySchema,
    tax: moneySchema.describe('Tax of the return: what the operator files.'),
    booked: moneySchema.describe('Tax that numbered settlements booked for the periods that end in the month.'),
    difference: moneySchema.describe('tax - booked; the sum of `differences`.'),
    rules: z.array(worksheetRuleSchema),
    sites: z.array(z.strictObject({ ...siteFields, siteName: nameSchema, tax: moneySchema, booked: moneySchema, components: z.array(z.strictObject(componentFigures)) })).describe('By code.'),
    machines: z
      .array(z.strictObject({ ...siteFields, machineId: idSchema, machineTag: z.string(), machineKind: z.string(), ...componentFigures }))
      .describe('One row per component, machine and site; those of one site only where one is asked for.'),
    differences: z.array(z.strictObject({ cause: differenceCauseSchema, text: z.string(), siteId: idSchema.nullable(), siteCode: z.string().nullable(), ruleId: idSchema.nullable(), amount: moneySchema })),
    payable: moneySchema.describe('What the account of tax to be filed holds for the area now, over all months; owed is above zero.'),
    filed: z
      .strictObject({ returnId: idSchema, position: z.int(), kind: returnKindSchema, filedOn: localDateSchema, tax: moneySchema, booked: moneySchema, taxSince: moneySchema, bookedSince: moneySchema })
      .nullable()
      .describe('The last return of the month, and what has changed since; null while there is none.'),
    authority: z
      .strictObject({ due: moneySchema.describe('Tax of the last return of the month; zero while none was filed.'), paid: moneySchema.describe('Paid for the month and not come back.'), open: moneySchema.describe('due - paid; below zero the authority owes a refund.') })
      .describe('What was paid to the authority for the month.'),
    next: returnKindSchema.nullable().describe('What recording the figures as filed would be; null when nothing has changed since the last time.'),
    digest: digestSchema,
  })
  .meta({ id: 'TaxWorksheet' });
export type TaxWorksheet = z.infer<typeof taxWorksheetSchema>;

export const worksheetQuerySchema = z.strictObject({ month: filingMonthSchema, siteId: idSchema.optional().describe('Machines of this site only.') });
export type WorksheetQuery = z.infer<typeof worksheetQuerySchema>;
export const worksheetExportQuerySchema = z.strictObject({ month: filingMonthSchema });

export const fileTaxReturnSchema = z.strictObject({
  id: idSchema.optional(),
  month: filingMonthSchema,
  filedOn: localDateSchema.describe('Day on which it was filed; the month is over by then.'),
  reference: z.string().trim().max(200).default('').describe('What the authority calls it.'),
  note: z.string().trim().max(1000).default(''),
  digest: digestSchema.describe('Of the worksheet that was filed: figures that have changed since are not recorded unseen.'),
});
export type FileTaxReturn = z.infer<typeof fileTaxReturnSchema>;

const returnFields = {
  id: idSchema,
  taxAreaId: idSchema,
  month: filingMonthSchema,
  position: z.int().describe('1 for the original return of the month, then counted on.'),
  kind: returnKindSchema,
  tax: moneySchema,
  booked: moneySchema,
  taxChange: moneySchema.describe('Against the return before; the whole tax for the original one.'),
  bookedChange: moneySchema,
  filedOn: localDateSchema,
  reference: z.string(),
  note: z.string(),
  recordedAt: instantSchema,
  recordedBy: z.string(),
  digest: digestSchema,
};

export const taxReturnSchema = z.strictObject(returnFields).meta({ id: 'TaxReturn' });
export type TaxReturnRecord = z.infer<typeof taxReturnSchema>;

/** Figures as they were filed: a worksheet without what goes on changing. */
const figuresSchema = taxWorksheetSchema.omit({ payable: true, filed: true, authority: true, next: true, digest: true });
export type FiledFigures = z.infer<typeof figuresSchema>;
export const filedTaxReturnSchema = z.strictObject({ ...returnFields, figures: figuresSchema }).meta({ id: 'FiledTaxReturn' });
export type FiledTaxReturn = z.infer<typeof filedTaxReturnSchema>;

export const taxReturnParamsSchema = z.strictObject({ id: idSchema, returnId: idSchema });
export const taxReturnListQuerySchema = pageQuerySchema.extend({ month: filingMonthSchema.optional() });
export type TaxReturnListQuery = z.infer<typeof taxReturnListQuerySchema>;
export const taxReturnPageSchema = pageSchema(taxReturnSchema);
