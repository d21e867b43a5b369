import { z } from 'zod';
import { codeSchema, idSchema, instantSchema } from './format';

const count = z.int().min(0);

/** How far the statements of a close are that go out by mail. */
export const statementMailsSchema = z
  .strictObject({
    waiting: count.describe('Mails that go out soon, or are tried again soon.'),
    sent: count,
    refused: count.describe('Not taken by the mail server so far; tried again for most of a day.'),
    unclear: count.describe('It is not known whether they arrived: they go out again only when somebody says so.'),
    leftOut: count.describe('Not sent, because there was no address when they were to go out; not those that nobody wants any more.'),
    notAsked: count.describe('People and addresses that came after the mails were asked for, or all of them before: they get theirs when mails are asked for.'),
    sitesWithoutReceiver: z.array(codeSchema).describe('Sites with a statement that nobody gets: its payee has no address, and nobody can sign in for the site.'),
    troubles: z
      .array(
        z.strictObject({
          settlementId: idSchema,
          number: z.string(),
          siteCode: codeSchema,
          receiver: z.enum(['payee', 'member']),
          accountId: idSchema.nullable().describe('The member to whom it should go; null where it is the payee.'),
          state: z.enum(['refused', 'unclear', 'left-out']),
          attempts: count,
          triedAt: instantSchema,
        }),
      )
      .describe('At most 1,000 of those that were refused, are unclear, or were left out.'),
  })
  .meta({ id: 'StatementMails' });
export type StatementMails = z.infer<typeof statementMailsSchema>;

export const sendStatementMailsSchema = z.strictObject({
  again: z.boolean().optional().describe('Also those that were refused or are unclear, and those that were left out and have an address by now. Of the unclear ones somebody may get a second copy.'),
});
export type SendStatementMails = z.infer<typeof sendStatementMailsSchema>;
