import { z } from 'zod';
import { codeSchema, currencySchema, idSchema, localDateSchema, nameSchema } from './format';
import { moneySchema } from './money';
import { payingRunSchema } from './payment';

export const siteAccountQuerySchema = z
  .strictObject({
    on: localDateSchema.optional().describe('The statement is of the end of this day; left out: today at the site.'),
    from: localDateSchema.optional().describe('What came before this day is the opening balance; left out, every line is shown.'),
    agreementId: idSchema.optional().describe('Only the account under this agreement.'),
    partyId: idSchema.optional().describe('Only the account of this party.'),
  })
  .refine(({ from, on }) => from === undefined || on === undefined || from <= on, { path: ['from'], message: 'The first day lies after the last.', params: { code: 'after-on' } });
export type SiteAccountQuery = z.infer<typeof siteAccountQuerySchema>;

export const accountLineKindSchema = z
  .enum(['settlement', 'settlement-reversed', 'payment', 'payment-returned', 'put-on-account', 'taken-off-account', 'cash-handed', 'cash-handed-corrected', 'written-off', 'write-off-undone', 'advance-given', 'advance-paid-back', 'advance-written-off', 'advance-undone', 'disputed', 'released'])
  .describe('`cash-handed`: cash that the payee was handed or kept at a collection. `disputed`, `released`: what happened to an item; they move no money.');
export type AccountLineKind = z.infer<typeof accountLineKindSchema>;

export const accountLineSchema = z
  .strictObject({
    date: localDateSchema.describe('Day under which the books have it.'),
    kind: accountLineKindSchema,
    reference: z.string().describe('Number of the statement, or what the bank or a receipt shows; may be empty.'),
    note: z.string().describe('The reason that was given; empty for readers outside the office.'),
    settlementId: idSchema.nullable(),
    paymentId: idSchema.nullable(),
    run: payingRunSchema.nullable(),
    amount: moneySchema.describe('Above zero the operator owes the payee more, below zero less.'),
    carried: moneySchema.nullable().describe('Of a settlement: what it carried to the next one instead of leaving it to be paid; null when nothing.'),
    balance: moneySchema.describe('After this line.'),
  })
  .meta({ id: 'AccountLine' });
export type AccountLine = z.infer<typeof accountLineSchema>;

export const ageBucketSchema = z.strictObject({
  fromDays: z.int(),
  toDays: z.int().nullable().describe('Included; null: no end.'),
  toPayee: moneySchema.describe('What the operator owes; zero or above.'),
  fromPayee: moneySchema.describe('What the payee owes; zero or below.'),
});

export const partyAccountSchema = z
  .strictObject({
    agreementId: idSchema,
    agreementCode: codeSchema,
    partyId: idSchema,
    partyName: nameSchema,
    currency: currencySchema,
    opening: moneySchema.describe('Balance before the first day.'),
    lines: z.array(accountLineSchema).describe('Oldest first.'),
    closing: moneySchema.describe('Above zero the operator owes the payee, below zero the payee owes the operator. What the journal holds for the payee under this agreement.'),
    madeOf: z
      .strictObject({
        openItems: moneySchema.describe('What settlements left to be paid; the sum of `items` and of `ageing`.'),
        carried: moneySchema.describe('What the last settlement carried on.'),
        unmatched: moneySchema.describe('Paid, and matched with no item.'),
        handed: moneySchema.describe('Handed over or paid on account, and not set off by a settlement yet.'),
        advances: moneySchema.describe('Advances not worked off yet.'),
      })
      .describe('The closing balance, cut up; its parts sum to it.'),
    ageing: z.array(ageBucketSchema).describe('Open items by days since they fell due, the youngest first.'),
    items: z
      .array(
        z.strictObject({
          openItemId: idSchema,
          settlementId: idSchema,
          number: z.string(),
          dueOn: localDateSchema,
          ageDays: z.int(),
          open: moneySchema,
          disputed: z.boolean(),
        }),
      )
      .describe('What was open at the day, the oldest first.'),
  })
  .meta({ id: 'PartyAccount' });
export type PartyAccount = z.infer<typeof partyAccountSchema>;

export const siteAccountSchema = z
  .strictObject({
    siteId: idSchema,
    siteCode: codeSchema,
    siteName: nameSchema,
    on: localDateSchema,
    from: localDateSchema.nullable(),
    accounts: z.array(partyAccountSchema).describe('One per agreement and payee, the agreement of today first.'),
  })
  .meta({ id: 'SiteAccount' });
export type SiteAccount = z.infer<typeof siteAccountSchema>;
