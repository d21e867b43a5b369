import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, localDateSchema, nameSchema, reasonSchema } from './format';
import { moneyPositiveSchema, moneySchema } from './money';
import { pageQuerySchema, pageSchema } from './page';

export const refundClaimStateSchema = z
  .enum(['open', 'taken-over', 'refused', 'withdrawn'])
  .describe('`open`: no collection has taken it over yet; `taken-over`: it is a refund slip of a collection; `refused`: by the office; `withdrawn`: taken back as entered by mistake.');
export type RefundClaimState = z.infer<typeof refundClaimStateSchema>;

const slipNumberSchema = z
  .string()
  .trim()
  .min(1)
  .max(40)
  .regex(/^\P{Cc}*$/u, 'must not hold control characters')
  .describe('Printed or written on the slip. Each counts once at a site.');

/** What a site says that it gave back to a player out of its own till. It counts once a collection has taken it over. */
export const refundClaimSchema = z
  .strictObject({
    id: idSchema,
    siteId: idSchema,
    siteCode: codeSchema,
    siteName: nameSchema,
    machineId: idSchema,
    machineTag: codeSchema,
    number: slipNumberSchema.nullable(),
    refundedOn: localDateSchema,
    amount: moneySchema,
    reason: z.string(),
    state: refundClaimStateSchema,
    takenOver: z
      .strictObject({
        collectionId: idSchema.nullable().describe('Null for whoever may not read that collection yet.'),
        collectedOn: localDateSchema.describe('Day of the visit that took it over.'),
        amount: moneySchema.describe('Of the slip as it stands: what a correction made of it, and of several claims at once where a file had their sum.'),
      })
      .nullable(),
    alikePresentedOn: localDateSchema.nullable().describe('Of a claim that is open or taken over: day of a visit at which another slip of the same machine, day and amount was presented that no claim says so of. It may be the same paper.'),
    maybeInSum: z
      .strictObject({ collectedOn: localDateSchema, amount: moneySchema })
      .nullable()
      .describe('Of an open claim: the first refund since then that a file had of this machine in one sum, and that is the sum of no open claims. The claim may be in it, and stays open until somebody says so.'),
    refused: z.strictObject({ reason: z.string(), at: instantSchema, by: z.string() }).nullable(),
    withdrawnAt: instantSchema.nullable(),
    recordedAt: instantSchema,
    recordedBy: z.string(),
  })
  .meta({ id: 'RefundClaim' });
export type RefundClaim = z.infer<typeof refundClaimSchema>;

export const enterRefundClaimSchema = z.strictObject({
  id: idSchema.optional(),
  siteId: idSchema,
  machineTag: codeSchema,
  number: slipNumberSchema.optional(),
  refundedOn: localDateSchema,
  amount: moneyPositiveSchema,
  reason: reasonSchema,
});
export type EnterRefundClaim = z.infer<typeof enterRefundClaimSchema>;

export const refuseRefundClaimSchema = z.strictObject({ reason: reasonSchema });

export const refundClaimListQuerySchema = pageQuerySchema.extend({ siteId: idSchema.optional(), state: refundClaimStateSchema.optional() });
export type RefundClaimListQuery = z.infer<typeof refundClaimListQuerySchema>;
export const refundClaimPageSchema = pageSchema(refundClaimSchema);

/** An open claim, as the form of a visit asks whether its slip was presented. */
export const openRefundClaimSchema = z
  .strictObject({ id: idSchema, machineTag: codeSchema, number: slipNumberSchema.nullable(), refundedOn: localDateSchema, amount: moneySchema })
  .meta({ id: 'OpenRefundClaim' });
export type OpenRefundClaim = z.infer<typeof openRefundClaimSchema>;
