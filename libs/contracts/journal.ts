import { z } from 'zod';
import { currencySchema, localDateSchema } from './format';
import { moneySchema } from './money';

/** Double entry. Balances are signed: debits positive, credits negative. */
export const trialBalanceQuerySchema = z.strictObject({ on: localDateSchema.describe('Entries up to and including this day.') });
export type TrialBalanceQuery = z.infer<typeof trialBalanceQuerySchema>;

export const trialBalanceSchema = z
  .strictObject({
    on: localDateSchema,
    accounts: z.array(
      z.strictObject({
        code: z.string().describe('The account of the chart, and the id of its holder where it is kept per holder.'),
        name: z.string().describe('As in the plain-text journal: liabilities:payable:CORNER-BAR.'),
        kind: z.enum(['asset', 'liability', 'income', 'expense']),
        balance: moneySchema,
      }),
    ),
    totals: z.array(z.strictObject({ currency: currencySchema, debits: moneySchema, credits: moneySchema })).describe('Per currency; the two sides are equal.'),
  })
  .meta({ id: 'TrialBalance' });
export type TrialBalance = z.infer<typeof trialBalanceSchema>;

export const journalExportQuerySchema = z
  .strictObject({
    format: z.enum(['plain', 'csv']).describe('Plain text for hledger and ledger, or CSV with one line per posting.'),
    from: localDateSchema,
    to: localDateSchema.describe('Last day, included.'),
  })
  .refine(({ from, to }) => from <= to, { path: ['to'], message: 'The last day lies before the first.', params: { code: 'before-from' } });
export type JournalExportQuery = z.infer<typeof journalExportQuerySchema>;
