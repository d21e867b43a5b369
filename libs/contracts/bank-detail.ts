import { z } from 'zod';
import { compactIban, ibanProblem, isBic, type IbanProblem } from '#domain/payment-file/iban';
import { isRoutingNumber } from '#domain/payment-file/routing-number';
import { countrySchema, idSchema, instantSchema, nameSchema, reasonSchema } from './format';
import { pageQuerySchema, pageSchema } from './page';

const wrongIban: { readonly [problem in IbanProblem]: string } = {
  malformed: 'is no IBAN: two letters, two digits, then letters and digits',
  'country-unknown': 'begins with a country that has no IBAN, as far as the program knows',
  'wrong-length': 'is longer or shorter than the IBANs of its country',
  'wrong-check-digits': 'has check digits that do not fit: compare it with the letter, digit by digit',
};

export const ibanAccountSchema = z
  .strictObject({
    kind: z.literal('iban'),
    holderName: nameSchema.describe('The name under which the bank keeps the account.'),
    iban: z
      .string()
      .max(50)
      .superRefine((text, context) => {
        const problem = ibanProblem(compactIban(text));
        if (problem !== null) context.addIssue({ code: 'custom', message: wrongIban[problem], params: { code: problem } });
      })
      .describe('ISO 13616; blanks do not matter.'),
    bic: z.string().refine(isBic, 'has eight or eleven capital letters and digits').nullable().describe('ISO 9362; null where it is not known.'),
  })
  .meta({ id: 'IbanAccount' });

export const usAccountSchema = z
  .strictObject({
    kind: z.literal('us'),
    holderName: nameSchema.describe('The name under which the bank keeps the account.'),
    routingNumber: z.string().refine(isRoutingNumber, 'is no routing number: nine digits, of which the last one is a check digit'),
    accountNumber: z.string().regex(/^[A-Za-z0-9-]{4,17}$/, 'must be 4 to 17 digits, letters or hyphens'),
    accountType: z.enum(['checking', 'savings']),
    holderKind: z.enum(['person', 'business']).describe('People and businesses are paid in batches of different kinds.'),
    originator: z
      .strictObject({
        companyId: z.string().regex(/^[A-Z0-9 ]{10}$/, 'must be the ten characters by which your bank knows the company'),
        bankName: nameSchema,
      })
      .nullable()
      .describe('Of the account that is paid from: what your bank agreed with you. Null for payees.'),
  })
  .meta({ id: 'UsAccount' });

export const bankAccountSchema = z.discriminatedUnion('kind', [ibanAccountSchema, usAccountSchema]);

export const bankDetailStateSchema = z
  .enum(['proposed', 'in-force', 'replaced', 'rejected', 'withdrawn'])
  .describe('`in-force`: confirmed, and paid to from now on; `replaced`: a later one was confirmed; `withdrawn`: confirmed once, and paid to no more.');
export type BankDetailState = z.infer<typeof bankDetailStateSchema>;

export const bankDetailSchema = z
  .strictObject({
    id: idSchema,
    partyId: idSchema.nullable().describe('The payee; null: an account of the operator, from which payees are paid.'),
    partyName: nameSchema.nullable(),
    kind: z.enum(['iban', 'us']),
    holderName: z.string(),
    country: countrySchema,
    ending: z.string().describe('Last characters of the number. The whole number is never shown again.'),
    bank: z.string().nullable().describe('BIC or routing number.'),
    accountType: z.enum(['checking', 'savings']).nullable(),
    state: bankDetailStateSchema,
    reason: z.string().describe('Where it comes from, as whoever proposed it said.'),
    proposedAt: instantSchema,
    proposedBy: z.string(),
    decidedAt: instantSchema.nullable().describe('When it was confirmed or rejected.'),
    decidedBy: z.string().nullable(),
    withdrawnAt: instantSchema.nullable(),
    withdrawnBy: z.string().nullable(),
    note: z.string().nullable().describe('Why it was rejected or withdrawn.'),
    madeAlone: z.boolean().describe('One person proposed and confirmed it, as the rule for a business of one allows.'),
    announcedAt: instantSchema.nullable().describe('When the last thing that happened to it went out by mail.'),
  })
  .meta({ id: 'BankDetail' });
export type BankDetail = z.infer<typeof bankDetailSchema>;

export const proposeBankDetailSchema = z.strictObject({
  id: idSchema.optional(),
  partyId: idSchema.nullable().describe('Null: an account of the operator.'),
  account: bankAccountSchema,
  reason: reasonSchema.describe('Where it comes from: the letter, who was called back and when.'),
});
export type ProposeBankDetail = z.infer<typeof proposeBankDetailSchema>;

export const confirmBankDetailSchema = z.strictObject({
  number: z.string().min(1).max(50).describe('The IBAN or account number, typed anew from the document: what is only looked at is not compared.'),
  routingNumber: z.string().min(1).max(50).optional().describe('Typed anew as well, of an account of kind `us`, and of no other: the same number at another bank is another account.'),
});
export type ConfirmBankDetail = z.infer<typeof confirmBankDetailSchema>;

export const bankDetailReasonSchema = z.strictObject({ reason: reasonSchema });
export type BankDetailReason = z.infer<typeof bankDetailReasonSchema>;

export const bankDetailListQuerySchema = pageQuerySchema.extend({
  partyId: idSchema.optional(),
  of: z.enum(['operator', 'payees']).optional().describe('Only accounts that are paid from, or only those that are paid to.'),
  state: bankDetailStateSchema.optional(),
});
export type BankDetailListQuery = z.infer<typeof bankDetailListQuerySchema>;
export const bankDetailPageSchema = pageSchema(bankDetailSchema);
