import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, localDateSchema, nameSchema, reasonSchema } from './format';
import { moneyNotNegativeSchema, moneySchema } from './money';
import { pageQuerySchema, pageSchema } from './page';

export const paymentMethodSchema = z.enum(['bank', 'cash', 'other']);
export const paymentDirectionSchema = z.enum(['to-payee', 'from-payee']).describe('`from-payee`: a payee pays what it owes.');
export const referenceSchema = z
  .string()
  .trim()
  .max(140)
  .regex(/^\P{Cc}*$/u, 'must not hold control characters')
  .describe('What the bank or a receipt shows: up to 140 characters.');

export const moneyPaidSchema = moneyNotNegativeSchema.refine(({ amount }) => /[1-9]/.test(amount), {
  path: ['amount'],
  message: 'must be above zero',
  params: { code: 'not-positive' },
});

export const payingRunSchema = z.strictObject({ id: idSchema, executeOn: localDateSchema }).describe('The payment run that it was paid with; null where it was recorded by itself, and for readers outside the office.');

export const paymentStateSchema = z
  .enum(['matched', 'partly-matched', 'unmatched', 'on-account', 'set-off', 'returned'])
  .describe('`on-account`: waits for the next settlement; `set-off`: a settlement has taken it into account; `returned`: the money came back.');
export type PaymentState = z.infer<typeof paymentStateSchema>;

export const paymentSchema = z
  .strictObject({
    id: idSchema,
    kind: z.enum(['settling', 'on-account']),
    direction: paymentDirectionSchema,
    agreementId: idSchema,
    siteId: idSchema,
    siteCode: codeSchema,
    siteName: nameSchema,
    partyId: idSchema,
    partyName: nameSchema,
    amount: moneySchema.describe('What changed hands.'),
    settles: moneySchema.describe('What it settles: in cash it may differ by the rounding to coins.'),
    unmatched: moneySchema.describe('What is matched with no item and not on account.'),
    onAccount: moneySchema.describe('What waits on account for the next settlement, or was set off by one.'),
    method: paymentMethodSchema,
    reference: z.string(),
    paidOn: localDateSchema,
    accountingDate: localDateSchema.describe('Day under which the books have it: later than `paidOn` where that month was closed.'),
    state: paymentStateSchema,
    matches: z.array(z.strictObject({ openItemId: idSchema, settlementId: idSchema, number: z.string(), amount: moneySchema })).describe('As they stand now.'),
    setOffIn: z.strictObject({ settlementId: idSchema, number: z.string() }).nullable(),
    run: payingRunSchema.nullable(),
    history: z
      .array(
        z.strictObject({
          kind: z.enum(['recorded', 'matched', 'unmatched', 'put-on-account', 'taken-off-account', 'returned']),
          number: z.string().nullable().describe('Statement that a match is about.'),
          amount: moneySchema,
          on: localDateSchema,
          note: z.string().nullable(),
          happenedAt: instantSchema,
          happenedBy: z.string(),
        }),
      )
      .describe('Oldest first; nothing is ever taken out.'),
  })
  .meta({ id: 'Payment' });
export type Payment = z.infer<typeof paymentSchema>;

const namedSettlementsSchema = z
  .array(z.strictObject({ settlementId: idSchema, amount: moneyPaidSchema.optional().describe('Left out: all that is open, as far as the money goes.') }))
  .min(1)
  .max(100)
  .describe('What it settles, in this order; left out: the oldest items first.');

export const recordPaymentSchema = z
  .strictObject({
    id: idSchema.optional(),
    agreementId: idSchema.optional().describe('May be left out where settlements are named.'),
    partyId: idSchema.optional().describe('The payee; left out: the owner of the site.'),
    direction: paymentDirectionSchema.optional().describe('Left out: to the payee.'),
    amount: moneyPaidSchema,
    method: paymentMethodSchema,
    reference: referenceSchema.optional(),
    paidOn: localDateSchema,
    accountingDate: localDateSchema.optional().describe('Day under which the books have it; left out: `paidOn`. A later day is needed where the journal is closed.'),
    settlements: namedSettlementsSchema.optional(),
    onAccount: z.boolean().optional().describe('true: a payment on account, which the next settlement of the agreement sets off: what the operator paid against the payee, what the payee paid in its favour.'),
  })
  .refine(({ agreementId, settlements }) => agreementId !== undefined || settlements !== undefined, {
    path: ['agreementId'],
    message: 'Name the agreement, or the settlements that are paid.',
    params: { code: 'missing' },
  })
  .refine(({ onAccount, settlements }) => onAccount !== true || settlements === undefined, {
    path: ['settlements'],
    message: 'A payment on account settles nothing yet: name no settlements.',
    params: { code: 'on-account' },
  });
export type RecordPayment = z.infer<typeof recordPaymentSchema>;

export const matchPaymentSchema = z.strictObject({ settlements: namedSettlementsSchema.optional() });
export type MatchPayment = z.infer<typeof matchPaymentSchema>;

export const putPaymentOnAccountSchema = z.strictObject({ note: reasonSchema });
export type PutPaymentOnAccount = z.infer<typeof putPaymentOnAccountSchema>;

export const unmatchPaymentSchema = z.strictObject({ note: reasonSchema });
export type UnmatchPayment = z.infer<typeof unmatchPaymentSchema>;

export const returnPaymentSchema = z.strictObject({
  returnedOn: localDateSchema,
  accountingDate: localDateSchema.optional().describe('Day under which the books have it; left out: `returnedOn`.'),
  reason: reasonSchema,
});
export type ReturnPayment = z.infer<typeof returnPaymentSchema>;

export const paymentListQuerySchema = pageQuerySchema.extend({
  agreementId: idSchema.optional(),
  siteId: idSchema.optional(),
  partyId: idSchema.optional(),
  from: localDateSchema.optional().describe('First day of payment.'),
  to: localDateSchema.optional().describe('Last day of payment, included.'),
});
export type PaymentListQuery = z.infer<typeof paymentListQuerySchema>;
export const paymentPageSchema = pageSchema(paymentSchema);
