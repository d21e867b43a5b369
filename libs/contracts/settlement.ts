import { steps } from '#domain/settlement/lines';
import { z } from 'zod';
import { codeSchema, currencySchema, idSchema, instantSchema, localDateSchema, nameSchema, reasonSchema, revisionSchema } from './format';
import { moneySchema } from './money';
import { pageQuerySchema, pageSchema } from './page';

export const settlementStateSchema = z.enum(['draft', 'reviewed', 'numbered', 'issued']);
export type SettlementState = z.infer<typeof settlementStateSchema>;

/** What happens to a settlement, in its history. */
export const settlementEventSchema = z.enum(['drafted', 'recomputed', 'reviewed', 'reopened', 'flags-overridden', 'numbered', 'issued', 'reversed', 'held', 'released', 'questioned', 'answered']);
export type SettlementEvent = z.infer<typeof settlementEventSchema>;

/** How one figure came about. */
export const whySchema = z
  .strictObject({
    text: z.string().describe('A sentence.'),
    formula: z.string().describe('Code of the sentence, in lower case with hyphens, for who says it in other words.'),
    change: z.strictObject({ issued: z.string(), now: z.string() }).nullable().describe('Of a difference: the figure as it was issued and as it is now.'),
    step: z.enum(steps).describe('Step of the waterfall.'),
    rule: z.string().nullable().describe('What it follows from: a place in the terms, or a tax rule.'),
    ruleVersion: z
      .discriminatedUnion('of', [
        z.strictObject({
          of: z.literal('terms'),
          versionId: idSchema,
          startsOn: localDateSchema,
          endsBefore: localDateSchema.nullable().describe('First day of the version after it within the period, or null.'),
          pointer: z.string().describe('JSON pointer into the terms; empty for the terms as a whole.'),
        }),
        z.strictObject({ of: z.literal('tax-rule'), ruleId: idSchema, title: z.string(), startsOn: localDateSchema, endsBefore: localDateSchema.nullable(), source: z.string() }),
      ])
      .describe('The dated rule itself.'),
    exact: z.string().nullable().describe('The value before rounding; null where nothing was rounded.'),
    exactValue: z
      .strictObject({ numerator: z.string(), denominator: z.string() })
      .describe('The value before rounding as a fraction of whole minor units; where nothing was rounded, the figure itself. Of a difference: of the figure as it is now.'),
    inputs: z
      .array(
        z.strictObject({
          label: z.string(),
          value: z.string().nullable(),
          lineNumber: z.int().min(1).nullable().describe('Of the line that it is; null for what is no line of this settlement.'),
        }),
      )
      .describe('Counts, slips and lines that went in.'),
  })
  .meta({ id: 'Why' });
export type Why = z.infer<typeof whySchema>;

export const settlementLineSchema = z
  .strictObject({
    lineNumber: z.int().min(1),
    periodStartsOn: localDateSchema.describe('First day of the period that the line belongs to; earlier ones hold differences.'),
    step: z.enum(steps),
    kind: z.string().describe('What the figure is, in lower case with hyphens.'),
    label: z.string(),
    title: z.string().nullable().describe('The own name of the charge or tax component that the label holds.'),
    machineTag: z.string().nullable(),
    party: z.string().nullable().describe('Name of the party that the figure is about.'),
    amount: moneySchema,
    why: whySchema.nullable(),
  })
  .meta({ id: 'SettlementLine' });
export type SettlementLine = z.infer<typeof settlementLineSchema>;

export const settlementTotalsSchema = z
  .strictObject({
    takings: moneySchema,
    refunds: moneySchema,
    tax: moneySchema,
    charges: moneySchema,
    operatorShare: moneySchema,
    siteShare: moneySchema,
    earlier: moneySchema.describe('What changes in earlier periods come to for the site.'),
    payable: moneySchema.describe('What the site gets in the end; below zero it owes that.'),
  })
  .meta({ id: 'SettlementTotals' });
export type SettlementTotals = z.infer<typeof settlementTotalsSchema>;

const computedFields = {
  agreementId: idSchema,
  siteId: idSchema,
  siteCode: codeSchema,
  siteName: nameSchema,
  startsOn: localDateSchema,
  endsBefore: localDateSchema.describe('First day of the next period.'),
  kind: z.enum(['regular', 'final', 'supplementary']),
  currency: currencySchema,
  totals: settlementTotalsSchema,
  lines: z.array(settlementLineSchema),
  sentences: z.array(z.string()).describe('The terms in plain words.'),
  engineVersion: z.int().min(1),
};

export const settlementSchema = z
  .strictObject({
    id: idSchema,
    ...computedFields,
    revision: revisionSchema,
    state: settlementStateSchema,
    number: z.string().nullable().describe('Statement number, given when it is issued.'),
    accountingDate: localDateSchema.nullable().describe('Day under which the books have it; null until it has a number.'),
    history: z.array(
      z.strictObject({
        kind: settlementEventSchema,
        note: z.string().nullable(),
        happenedAt: instantSchema,
        happenedBy: z.string().describe('Who did it: `user:…`, `token:…`, or `system` for what the program does on somebody’s order.'),
        orderedBy: z.string().nullable().describe('On whose order the program did it; null where people did it themselves, and for readers of the site’s side.'),
      }),
    ),
    reversed: z
      .strictObject({
        at: instantSchema,
        accountingDate: localDateSchema.describe('Day from which the books have it no more.'),
        by: z.string(),
        reason: z.string().nullable().describe('Null for readers of the site’s side.'),
      })
      .nullable()
      .describe('When, by whom and why it was taken back; null while it stands. Number and statement stay as they were issued.'),
    digest: z.string().nullable().describe('SHA-256 of the canonical settlement, hex; printed on the statement.'),
    statement: z.strictObject({ available: z.boolean(), digest: z.string().nullable().describe('SHA-256 of the signed file, hex.') }),
  })
  .meta({ id: 'Settlement' });
export type Settlement = z.infer<typeof settlementSchema>;

export const previewSettlementSchema = z.strictObject({
  agreementId: idSchema,
  startsOn: localDateSchema.describe('A day of the period, usually its first.'),
});
export type PreviewSettlement = z.infer<typeof previewSettlementSchema>;

export const settlementPreviewSchema = z
  .strictObject({
    ...computedFields,
    inputsDigest: z.string().describe('SHA-256 of the inputs, hex: a draft computed now has the same.'),
    resultDigest: z.string().describe('SHA-256 of the result, hex.'),
  })
  .meta({ id: 'SettlementPreview' });
export type SettlementPreview = z.infer<typeof settlementPreviewSchema>;

export const settlementRowSchema = z
  .strictObject({
    id: idSchema,
    agreementId: idSchema,
    siteId: idSchema,
    siteCode: codeSchema,
    siteName: nameSchema,
    startsOn: localDateSchema,
    endsBefore: localDateSchema,
    revision: revisionSchema,
    state: settlementStateSchema,
    number: z.string().nullable(),
    takings: moneySchema.nullable().describe('This and the other amounts are null while a collection of the site waits in which the reader has a hand, where the terms go by the meters.'),
    siteShare: moneySchema.nullable(),
    payable: moneySchema.nullable(),
    reversed: z.boolean().describe('It was taken back; the period is settled anew.'),
    question: z.string().nullable().describe('What somebody of the site has asked and nobody has answered, or null.'),
  })
  .meta({ id: 'SettlementRow' });
export type SettlementRow = z.infer<typeof settlementRowSchema>;

export const settlementListQuerySchema = pageQuerySchema.extend({
  startsOn: localDateSchema.optional(),
  siteId: idSchema.optional(),
  state: settlementStateSchema.optional(),
  question: z.enum(['open']).optional().describe('Only those that somebody of the site has asked about and nobody has answered.'),
});
export type SettlementListQuery = z.infer<typeof settlementListQuerySchema>;
export const settlementPageSchema = pageSchema(settlementRowSchema);

export const noteOnSettlementSchema = z.strictObject({ note: reasonSchema });
export type NoteOnSettlement = z.infer<typeof noteOnSettlementSchema>;

export const reopenSettlementSchema = z.strictObject({ note: reasonSchema });
export type ReopenSettlement = z.infer<typeof reopenSettlementSchema>;

export const reverseSettlementSchema = z.strictObject({ reason: reasonSchema });
export type ReverseSettlement = z.infer<typeof reverseSettlementSchema>;

export const lateChangeSchema = z
  .strictObject({
    id: idSchema,
    agreementId: idSchema,
    siteId: idSchema,
    siteCode: codeSchema,
    siteName: nameSchema,
    startsOn: localDateSchema.describe('First day of the period that changed.'),
    endsBefore: localDateSchema,
    cause: z.enum(['collection', 'correction', 'handed', 'cashless', 'break-in', 'terms', 'tax', 'end']),
    sourceId: idSchema.describe('Id of what was late: the collection, the corrected record, the card takings, the break-in, the version of the terms or the tax rule. Where an agreement ended, a machine came to stand elsewhere, or nothing but a price changed, an id of that change alone.'),
    recordedAt: instantSchema,
  })
  .meta({ id: 'LateChange' });
export type LateChange = z.infer<typeof lateChangeSchema>;
export const lateChangePageSchema = pageSchema(lateChangeSchema);
