import { z } from 'zod';
import { idSchema, instantSchema, localDateSchema, reasonSchema } from './format';
import { moneySchema } from './money';
import { moneyPaidSchema, paymentMethodSchema, referenceSchema } from './payment';
import { pageQuerySchema, pageSchema } from './page';
import { filingMonthSchema } from './tax-return';

export const taxPaymentSchema = z
  .strictObject({
    id: idSchema,
    taxAreaId: idSchema,
    month: filingMonthSchema,
    direction: z.enum(['to-authority', 'from-authority']).describe('`from-authority`: a refund after an amended return.'),
    amount: moneySchema,
    method: paymentMethodSchema,
    reference: z.string(),
    paidOn: localDateSchema,
    accountingDate: localDateSchema.describe('Day under which the books have it.'),
    recordedAt: instantSchema,
    recordedBy: z.string(),
    returned: z.strictObject({ returnedOn: localDateSchema, reason: z.string(), recordedAt: instantSchema, recordedBy: z.string() }).nullable(),
  })
  .meta({ id: 'TaxPayment' });
export type TaxPayment = z.infer<typeof taxPaymentSchema>;

export const recordTaxPaymentSchema = z.strictObject({
  id: idSchema.optional(),
  month: filingMonthSchema,
  direction: z.enum(['to-authority', 'from-authority']).optional().describe('Left out: to the authority.'),
  amount: moneyPaidSchema,
  method: paymentMethodSchema,
  reference: referenceSchema.optional(),
  paidOn: localDateSchema,
  accountingDate: localDateSchema.optional().describe('Day under which the books have it; left out: `paidOn`. A later day is needed where the journal is closed.'),
});
export type RecordTaxPayment = z.infer<typeof recordTaxPaymentSchema>;

export const returnTaxPaymentSchema = z.strictObject({
  returnedOn: localDateSchema,
  accountingDate: localDateSchema.optional().describe('Day under which the books have it; left out: `returnedOn`.'),
  reason: reasonSchema,
});
export type ReturnTaxPayment = z.infer<typeof returnTaxPaymentSchema>;

export const taxPaymentParamsSchema = z.strictObject({ id: idSchema, paymentId: idSchema });
export const taxPaymentListQuerySchema = pageQuerySchema.extend({ month: filingMonthSchema.optional() });
export type TaxPaymentListQuery = z.infer<typeof taxPaymentListQuerySchema>;
export const taxPaymentPageSchema = pageSchema(taxPaymentSchema);
