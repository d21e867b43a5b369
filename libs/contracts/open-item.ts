import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, localDateSchema, nameSchema, reasonSchema } from './format';
import { moneySchema } from './money';
import { pageQuerySchema, pageSchema } from './page';

export const openItemStateSchema = z
  .enum(['open', 'partly-paid', 'paid', 'returned', 'paid-again', 'disputed', 'written-off', 'reversed'])
  .describe(
    '`returned`: a payment came back and the item is unpaid again; `paid-again`: paid after that; `disputed`: held, and not to be paid until it is released; `written-off`: the rest was given up; `reversed`: its settlement was reversed.',
  );
export type OpenItemState = z.infer<typeof openItemStateSchema>;

export const openItemSchema = z
  .strictObject({
    id: idSchema,
    settlementId: idSchema,
    number: z.string().describe('Number of the statement.'),
    agreementId: idSchema,
    siteId: idSchema,
    siteCode: codeSchema,
    siteName: nameSchema,
    partyId: idSchema,
    partyName: nameSchema,
    startsOn: localDateSchema.describe('First day of the settled period.'),
    datedOn: localDateSchema.describe('Day from which it ages: the one on which the books have it.'),
    amount: moneySchema.describe('Above zero the operator owes it to the payee, below zero the payee owes it.'),
    paid: moneySchema.describe('Of the same sign.'),
    writtenOff: moneySchema.describe('What was given up of it and not taken up again; of the same sign.'),
    open: moneySchema,
    state: openItemStateSchema,
    history: z.array(z.strictObject({ kind: z.enum(['held', 'released', 'written-off', 'write-off-undone']), note: z.string().nullable(), happenedAt: instantSchema, happenedBy: z.string() })),
  })
  .meta({ id: 'OpenItem' });
export type OpenItem = z.infer<typeof openItemSchema>;

export const openItemListQuerySchema = pageQuerySchema.extend({
  agreementId: idSchema.optional(),
  siteId: idSchema.optional(),
  partyId: idSchema.optional(),
  settlementId: idSchema.optional(),
  unpaid: z.enum(['yes', 'no']).optional().describe('`yes`: only items that are not paid whole; `no`: only those that are, or whose settlement was reversed.'),
});
export type OpenItemListQuery = z.infer<typeof openItemListQuerySchema>;
export const openItemPageSchema = pageSchema(openItemSchema);

export const holdOpenItemSchema = z.strictObject({ note: reasonSchema });
export type HoldOpenItem = z.infer<typeof holdOpenItemSchema>;

const bookedSchema = localDateSchema.optional().describe('Day under which the books have it; left out: today at the site.');
export const writeOffOpenItemSchema = z.strictObject({ reason: reasonSchema, accountingDate: bookedSchema });
export type WriteOffOpenItem = z.infer<typeof writeOffOpenItemSchema>;
export const undoWriteOffSchema = z.strictObject({ reason: reasonSchema, accountingDate: bookedSchema });
export type UndoWriteOff = z.infer<typeof undoWriteOffSchema>;
