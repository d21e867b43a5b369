import { isLocalDate } from '#domain/calendar/local-date';
import { chartOfAccounts, type AccountCode } from '#domain/journal/accounts';
import { z } from 'zod';
import { currencySchema, idSchema, instantSchema, localDateSchema, reasonSchema } from './format';
import { moneySchema } from './money';
import { pageQuerySchema, pageSchema } from './page';

const chartCodes = Object.keys(chartOfAccounts) as [AccountCode, ...AccountCode[]];
const accountKindSchema = z.enum(['asset', 'liability', 'income', 'expense']);
const accountFields = {
  code: z.string().describe('The account of the chart, and the id of its holder where it is kept per holder.'),
  name: z.string().describe('As in the plain-text journal: liabilities:payable:CORNER-BAR.'),
  kind: accountKindSchema,
};
const holderNameSchema = z.string().nullable().describe('Whose account it is, by name: a party, a person, a site; null for an account of the operator as a whole.');

/** A refinement of two optional or given days of a query: the range must not run backwards. */
const inOrder = { path: ['to'], message: 'The last day lies before the first.', params: { code: 'before-from' } };

/** Double entry. Balances are signed: debits positive, credits negative. */
export const trialBalanceQuerySchema = z
  .strictObject({
    on: localDateSchema.describe('Entries up to and including this day.'),
    from: localDateSchema.optional().describe('What came before this day is the opening balance; left out, everything is movement.'),
  })
  .refine(({ from, on }) => from === undefined || from <= on, { path: ['from'], message: 'The first day lies after the last.', params: { code: 'after-on' } });
export type TrialBalanceQuery = z.infer<typeof trialBalanceQuerySchema>;

export const trialBalanceSchema = z
  .strictObject({
    on: localDateSchema,
    from: localDateSchema.nullable(),
    accounts: z.array(
      z.strictObject({
        ...accountFields,
        holderName: holderNameSchema,
        opening: moneySchema.describe('Balance before the first day.'),
        debits: moneySchema.describe('Movement of the days asked for; never below zero.'),
        credits: moneySchema.describe('Movement of the days asked for; never below zero.'),
        balance: moneySchema.describe('opening + debits - credits.'),
      }),
    ).describe('One row per account and currency; the balances of a currency sum to zero, and so do the opening ones.'),
    totals: z.array(z.strictObject({ currency: currencySchema, debits: moneySchema, credits: moneySchema })).describe('Sums of the debit and of the credit balances, per currency; the two sides are equal.'),
  })
  .meta({ id: 'TrialBalance' });
export type TrialBalance = z.infer<typeof trialBalanceSchema>;

/** One account of the chart, and what it is for. */
export const chartAccountSchema = z
  .strictObject({
    code: z.string(),
    name: z.string().describe('As in the plain-text journal, without a holder: liabilities:payable.'),
    kind: accountKindSchema,
    per: z.enum(['operator', 'collector', 'site', 'agreement', 'party', 'area', 'float', 'bank']).describe('Who a balance is kept for.'),
    meaning: z.string().describe('What the balance says, in words.'),
  })
  .meta({ id: 'ChartAccount' });
export const chartOfAccountsSchema = z.strictObject({ accounts: z.array(chartAccountSchema) }).meta({ id: 'ChartOfAccounts' });
export type ChartOfAccounts = z.infer<typeof chartOfAccountsSchema>;

export const journalAccountSchema = z
  .strictObject({ ...accountFields, chartCode: z.enum(chartCodes).describe('Its account in the chart.'), holderId: z.string().nullable(), meaning: z.string() })
  .meta({ id: 'JournalAccount' });
export type JournalAccount = z.infer<typeof journalAccountSchema>;
export const journalAccountQuerySchema = pageQuerySchema.extend({ chartCode: z.enum(chartCodes).optional().describe('Only accounts of this account of the chart.') });
export type JournalAccountQuery = z.infer<typeof journalAccountQuerySchema>;
export const journalAccountPageSchema = pageSchema(journalAccountSchema);

export const journalEntrySchema = z
  .strictObject({
    id: idSchema,
    kind: z.string().describe('What happened: collection-accepted, settlement-issued, payment ...'),
    date: localDateSchema.describe('Day to which it is booked.'),
    recordedAt: instantSchema,
    recordedBy: z.string(),
    sourceId: idSchema.describe('The record that it comes from: a settlement, a collection, a payment ...'),
    reference: z.string().nullable().describe('What people know the source by, where it has such a name: the number of a statement.'),
    postings: z.array(z.strictObject({ account: accountFields.code, name: accountFields.name, holderName: holderNameSchema, amount: moneySchema.describe('Debit positive, credit negative.') })),
  })
  .meta({ id: 'JournalEntry' });
export type JournalEntryBody = z.infer<typeof journalEntrySchema>;
export const journalEntryQuerySchema = pageQuerySchema
  .extend({
    from: localDateSchema.optional(),
    to: localDateSchema.optional().describe('Last day, included.'),
    sourceId: idSchema.optional().describe('Only entries that come from this record.'),
  })
  .refine(({ from, to }) => from === undefined || to === undefined || from <= to, inOrder);
export type JournalEntryQuery = z.infer<typeof journalEntryQuerySchema>;
export const journalEntryPageSchema = pageSchema(journalEntrySchema);

export const journalExportQuerySchema = z
  .strictObject({
    format: z.enum(['plain', 'csv']).describe('Plain text for hledger and ledger, or CSV with one line per posting.'),
    from: localDateSchema,
    to: localDateSchema.describe('Last day, included.'),
  })
  .refine(({ from, to }) => from <= to, inOrder);
export type JournalExportQuery = z.infer<typeof journalExportQuerySchema>;

export const monthSchema = z
  .string()
  .regex(/^\d{4}-(0[1-9]|1[0-2])$/, 'must be a month, such as 2026-03')
  .refine((month) => isLocalDate(`${month}-01`), 'is not a month from 1900 to 2199')
  .describe('Calendar month, ISO 8601: 2026-03.');

export const closeJournalSchema = z.strictObject({ month: monthSchema.describe('The journal is closed through the end of this month.'), reason: reasonSchema });
export type CloseJournal = z.infer<typeof closeJournalSchema>;
export const reopenJournalSchema = z.strictObject({ month: monthSchema.describe('The journal is open again from the first day of this month on.'), reason: reasonSchema });
export type ReopenJournal = z.infer<typeof reopenJournalSchema>;

export const journalPeriodsSchema = z
  .strictObject({
    closedThrough: localDateSchema.nullable().describe('No entry is posted with this day or one before it; null: all of the journal is open.'),
    lastMonth: monthSchema.describe('The last month that is over, and so the last one that can be closed.'),
    events: z
      .array(z.strictObject({ kind: z.enum(['closed', 'reopened']), closedThrough: localDateSchema.nullable(), reason: z.string(), happenedAt: instantSchema, happenedBy: z.string() }))
      .describe('Newest first; nothing is ever taken out.'),
  })
  .meta({ id: 'JournalPeriods' });
export type JournalPeriods = z.infer<typeof journalPeriodsSchema>;
