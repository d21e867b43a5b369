import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, localDateSchema, nameSchema, reasonSchema } from './format';
import { moneySchema } from './money';
import { pageQuerySchema, pageSchema } from './page';
import { moneyPaidSchema, paymentMethodSchema, referenceSchema } from './payment';

const accountingDateSchema = localDateSchema.describe('Day under which the books have it: later than the day itself where that month was closed.');

const historySchema = z.strictObject({
  kind: z
    .enum(['given', 'recouped', 'recoup-reversed', 'paid-back', 'written-off', 'undone'])
    .describe('`recouped`: a settlement kept it back from the share; `recoup-reversed`: that settlement was reversed; `undone`: what was paid back or written off by mistake is open again.'),
  on: localDateSchema.describe('Day under which the books have it.'),
  amount: moneySchema.describe('Above zero the payee has more to give back, below zero less.'),
  balance: moneySchema.describe('Open after this.'),
  reductionId: idSchema.nullable().describe('Of what was paid back, written off or undone.'),
  undone: z.boolean().describe('A later step undoes it.'),
  settlementId: idSchema.nullable(),
  number: z.string().nullable().describe('Number of the statement that worked it off.'),
  document: z.string(),
  reason: z.string().describe('Empty where none was given, and for readers outside the office.'),
  happenedAt: instantSchema,
  happenedBy: z.string(),
});

export const advanceSchema = z
  .strictObject({
    id: idSchema,
    agreementId: idSchema,
    siteId: idSchema,
    siteCode: codeSchema,
    siteName: nameSchema,
    partyId: idSchema,
    partyName: nameSchema,
    amount: moneySchema.describe('What was given.'),
    open: moneySchema.describe('What is still to be worked off or paid back; at the end of the day that was asked for.'),
    state: z.enum(['open', 'closed']).describe('`closed`: nothing is open.'),
    method: paymentMethodSchema,
    document: z.string(),
    reason: z.string().describe('Empty for readers outside the office.'),
    givenOn: localDateSchema,
    accountingDate: accountingDateSchema,
    history: z.array(historySchema).describe('In the order of the books, with the balance after each step; up to the day that was asked for.'),
  })
  .meta({ id: 'Advance' });
export type Advance = z.infer<typeof advanceSchema>;

export const giveAdvanceSchema = z.strictObject({
  id: idSchema.optional(),
  agreementId: idSchema,
  partyId: idSchema.optional().describe('The payee; left out: the owner of the site.'),
  amount: moneyPaidSchema,
  method: paymentMethodSchema,
  document: referenceSchema.optional(),
  reason: reasonSchema,
  givenOn: localDateSchema,
  accountingDate: accountingDateSchema.optional(),
});
export type GiveAdvance = z.infer<typeof giveAdvanceSchema>;

export const payBackAdvanceSchema = z.strictObject({
  amount: moneyPaidSchema.optional().describe('Left out: all that is open.'),
  method: paymentMethodSchema,
  document: referenceSchema.optional(),
  paidOn: localDateSchema,
  accountingDate: accountingDateSchema.optional(),
});
export type PayBackAdvance = z.infer<typeof payBackAdvanceSchema>;

export const writeOffAdvanceSchema = z.strictObject({
  reason: reasonSchema,
  accountingDate: localDateSchema.optional().describe('Day under which the books have it; left out: today at the site.'),
});
export type WriteOffAdvance = z.infer<typeof writeOffAdvanceSchema>;

export const undoReductionSchema = z.strictObject({
  reductionId: idSchema.describe('What was paid back or written off by mistake: `reductionId` of the history.'),
  reason: reasonSchema,
  accountingDate: localDateSchema.optional().describe('Day under which the books have it; left out: today at the site.'),
});
export type UndoReduction = z.infer<typeof undoReductionSchema>;

export const advanceListQuerySchema = pageQuerySchema.extend({
  agreementId: idSchema.optional(),
  siteId: idSchema.optional(),
  partyId: idSchema.optional(),
  state: z.enum(['open', 'closed']).optional().describe('As it is now.'),
  on: localDateSchema.optional().describe('Shows what the books had at the end of this day: advances given later are left out, and what is open is of that day.'),
});
export type AdvanceListQuery = z.infer<typeof advanceListQuerySchema>;
export const advancePageSchema = pageSchema(advanceSchema);
