import { z } from 'zod';
import { codeSchema, countrySchema, currencySchema, idSchema, instantSchema, localDateSchema, nameSchema, reasonSchema } from './format';
import { moneySchema } from './money';
import { pageQuerySchema, pageSchema } from './page';

export const paymentRunStateSchema = z
  .enum(['draft', 'file-made', 'sent', 'paid', 'cancelled'])
  .describe('`sent`: given to the bank; `paid`: the payments are in the books.');
export type PaymentRunState = z.infer<typeof paymentRunStateSchema>;

export const refusedBecauseSchema = z
  .enum(['number-wrong', 'account-closed', 'account-blocked', 'not-said'])
  .describe('Why a bank refused a transfer: there is no account of this number, it is closed, it is blocked, or anything else.');
export type RefusedBecause = z.infer<typeof refusedBecauseSchema>;

const accountShownSchema = z.strictObject({ bankDetailId: idSchema, country: countrySchema, ending: z.string() });

const ofAccount = {
  agreementId: idSchema,
  siteId: idSchema,
  siteCode: codeSchema,
  siteName: nameSchema,
  partyId: idSchema,
  partyName: nameSchema,
  settlements: z.array(z.strictObject({ settlementId: idSchema, number: z.string(), open: moneySchema })).describe('What is paid, the oldest first.'),
  onAccount: moneySchema.describe('What was paid on account already and is kept back; it is matched with the settlements when the payments are recorded.'),
};

export const obstacleSchema = z
  .enum(['no-account', 'other-kind-of-account', 'paid-on-account', 'no-own-account'])
  .describe(
    '`no-account`: no bank account of the payee is confirmed; `other-kind-of-account`: it is of another kind than the one that is paid from; `paid-on-account`: what was paid on account covers it; `no-own-account`: no account of the operator is confirmed.',
  );
export type Obstacle = z.infer<typeof obstacleSchema>;

export const payableAccountSchema = z
  .strictObject({ ...ofAccount, pays: moneySchema, account: accountShownSchema.nullable(), obstacle: obstacleSchema.nullable().describe('Why a run would leave it out.') })
  .meta({ id: 'PayableAccount' });
export type PayableAccount = z.infer<typeof payableAccountSchema>;

export const payablesSchema = z
  .strictObject({
    currency: currencySchema,
    from: accountShownSchema.nullable().describe('The account that is paid from.'),
    transfers: z.int().describe('What a run would pay.'),
    sum: moneySchema,
    accounts: z.array(payableAccountSchema).describe('Issued settlements with something due to the payee that are in no run, by site. Disputed ones are left out.'),
  })
  .meta({ id: 'Payables' });
export type Payables = z.infer<typeof payablesSchema>;

const currencyOfRun = currencySchema.optional().describe('The operator’s currency when left out.');
export const payablesQuerySchema = z.strictObject({ currency: currencyOfRun });
export type PayablesQuery = z.infer<typeof payablesQuerySchema>;

export const draftPaymentRunSchema = z.strictObject({
  id: idSchema.optional(),
  currency: currencyOfRun,
  executeOn: localDateSchema.describe('Day on which the bank is to pay; today at the earliest.'),
  settlementIds: z.array(idSchema).min(1).max(5000).optional().describe('Only these; left out: everything that can be paid.'),
});
export type DraftPaymentRun = z.infer<typeof draftPaymentRunSchema>;

const summary = {
  id: idSchema,
  state: paymentRunStateSchema,
  format: z.enum(['pain.001.001.09', 'ach']).describe('ISO 20022, or a file for the automated clearing house of the United States.'),
  currency: currencySchema,
  from: accountShownSchema,
  executeOn: localDateSchema,
  transferCount: z.int(),
  sum: moneySchema,
  entryHash: z.string().nullable().describe('Control sum of a file for the clearing house; the bank shows the same.'),
  fileSha256: z.string().nullable(),
  createdAt: instantSchema,
};

export const paymentRunSummarySchema = z.strictObject(summary).meta({ id: 'PaymentRunSummary' });
export type PaymentRunSummary = z.infer<typeof paymentRunSummarySchema>;

export const paymentRunSchema = z
  .strictObject({
    ...summary,
    transfers: z.array(
      z.strictObject({
        ...ofAccount,
        id: idSchema,
        amount: moneySchema,
        account: accountShownSchema,
        paymentId: idSchema.nullable(),
        refusedBecause: refusedBecauseSchema.nullable().describe('The bank refused this transfer; no payment of it is in the books.'),
        released: z.boolean().describe('The payment came back, the bank refused it, the run was cancelled, or something was left open: it can be paid by another run.'),
      }),
    ),
    history: z.array(
      z.strictObject({
        kind: z.enum(['drafted', 'file-made', 'downloaded', 'sent', 'paid', 'cancelled', 'refused-by-bank']).describe('`downloaded`: for the first time.'),
        on: localDateSchema.nullable(),
        reason: z.string().nullable(),
        happenedAt: instantSchema,
        happenedBy: z.string(),
      }),
    ),
  })
  .meta({ id: 'PaymentRun' });
export type PaymentRun = z.infer<typeof paymentRunSchema>;

export const sendPaymentRunSchema = z.strictObject({ sentOn: localDateSchema.describe('Day on which the bank got the file.') });
export type SendPaymentRun = z.infer<typeof sendPaymentRunSchema>;

export const recordRunPaymentsSchema = z.strictObject({
  paidOn: localDateSchema.describe('Day on which the bank paid.'),
  accountingDate: localDateSchema.optional().describe('Day under which the books have it; left out: `paidOn`.'),
  refused: z
    .array(z.strictObject({ transferId: idSchema, because: refusedBecauseSchema }))
    .min(1)
    .max(5000)
    .optional()
    .describe('Transfers that the bank refused: no payment of them is recorded, and another run can pay them. All other transfers were paid.'),
});
export type RecordRunPayments = z.infer<typeof recordRunPaymentsSchema>;

export const cancelPaymentRunSchema = z.strictObject({
  reason: reasonSchema,
  refusedByBank: z.boolean().optional().describe('The bank has the file and refused it as a whole; only of a run that is `sent`, which is cancelled for no other reason.'),
});
export type CancelPaymentRun = z.infer<typeof cancelPaymentRunSchema>;

export const paymentRunListQuerySchema = pageQuerySchema.extend({ state: paymentRunStateSchema.optional() });
export type PaymentRunListQuery = z.infer<typeof paymentRunListQuerySchema>;
export const paymentRunPageSchema = pageSchema(paymentRunSummarySchema);
