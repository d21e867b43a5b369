import { z } from 'zod';
import { cycleSchema, failureMachinesSchema, untoldBoxesSchema } from './close';
import { codeSchema, idSchema, localDateSchema, nameSchema } from './format';
import { moneySchema } from './money';
import { pageQuerySchema, pageSchema } from './page';

const periodFields = { cycle: cycleSchema, startsOn: localDateSchema };

export const monthEndQuerySchema = z.strictObject(periodFields);
export type MonthEndQuery = z.infer<typeof monthEndQuerySchema>;

const count = z.int().min(0);

export const monthEndSchema = z
  .strictObject({
    ...periodFields,
    endsBefore: localDateSchema,
    closeId: idSchema.nullable().describe('The run that closed the period, or null.'),
    counts: z
      .strictObject({
        agreements: count.describe('Agreements that have this period; each is in one of the counts below, or ready to be settled.'),
        withoutCollections: count.describe('No collection in the period.'),
        openCollections: count.describe('A collection in the period is not accepted yet.'),
        drafts: count,
        held: count.describe('Of the drafts those that are held.'),
        reviewed: count,
        numbered: count,
        issued: count,
        failed: count.describe('Could not be settled.'),
        lateChanges: count.describe('Changes in numbered periods that wait for the next settlement.'),
        openRefundClaims: count.describe('Refund slips of days before the end of the period that sites entered and no collection has taken over, at sites whose settlement has no number yet.'),
        unpaid: count.describe('Numbered or issued, and nothing of it is paid.'),
        partlyPaid: count,
        disputed: count.describe('Something of it is open and held as disputed; in none of the three others.'),
        paid: count.describe('Nothing of it is open: paid, written off, or nothing was to be paid.'),
        toReceive: count.describe('Of those with something open, the ones in which a payee owes the operator.'),
      })
      .describe('Counted in agreements, late changes and refund slips apart.'),
  })
  .meta({ id: 'MonthEnd' });
export type MonthEnd = z.infer<typeof monthEndSchema>;

export const periodStateSchema = z
  .enum(['open', 'over', 'closed'])
  .describe('open: goes on at one of the sites; over: can be closed; closed: a run has closed it.');

export const periodRowSchema = z
  .strictObject({ ...periodFields, endsBefore: localDateSchema, closeId: idSchema.nullable(), state: periodStateSchema })
  .meta({ id: 'PeriodRow' });
export type PeriodRow = z.infer<typeof periodRowSchema>;
export const periodPageSchema = pageSchema(periodRowSchema);

export const agreementStateSchema = z.enum(['no-collections', 'open-collections', 'ready', 'draft', 'reviewed', 'numbered', 'issued', 'failed']);
export type AgreementState = z.infer<typeof agreementStateSchema>;

export const settlementPaymentSchema = z
  .strictObject({
    state: z.enum(['open', 'partly-paid', 'disputed', 'paid']).describe('`open`: nothing of it is paid, or a payment came back; `disputed`: something of it is held; `paid`: nothing of it is open, written off included.'),
    toPay: moneySchema.describe('What the operator still owes of it.'),
    toReceive: moneySchema.describe('What payees still owe the operator of it.'),
  })
  .meta({ id: 'SettlementPayment' });
export type SettlementPayment = z.infer<typeof settlementPaymentSchema>;

export const monthEndAgreementSchema = z
  .strictObject({
    agreementId: idSchema,
    siteId: idSchema,
    siteCode: codeSchema,
    siteName: nameSchema,
    settlementId: idSchema.nullable(),
    reversedId: idSchema.nullable().describe('The settlement of the period that was reversed, while none has followed it.'),
    state: agreementStateSchema,
    takings: moneySchema.nullable(),
    siteShare: moneySchema.nullable(),
    payable: moneySchema.nullable(),
    earlier: moneySchema.nullable().describe('What of it are differences of earlier periods.'),
    previousTakings: moneySchema.nullable().describe('Takings of the settlement before, to compare with.'),
    previousPayable: moneySchema.nullable().describe('Payable of the settlement before, to compare with.'),
    heldBecause: z.string().nullable().describe('Why the draft is held and not reviewed, or null.'),
    payment: settlementPaymentSchema.nullable().describe('What is open of the settlement, as the books have it now; null before it is numbered.'),
    failure: z.strictObject({ code: z.string(), message: z.string(), machines: failureMachinesSchema, untoldBoxes: untoldBoxesSchema }).nullable().describe('What could not be done with it, as last tried.'),
  })
  .meta({ id: 'MonthEndAgreement' });
export type MonthEndAgreement = z.infer<typeof monthEndAgreementSchema>;

export const monthEndAgreementsQuerySchema = pageQuerySchema.extend({ ...periodFields, state: agreementStateSchema.optional() });
export type MonthEndAgreementsQuery = z.infer<typeof monthEndAgreementsQuerySchema>;
export const monthEndAgreementPageSchema = pageSchema(monthEndAgreementSchema);
