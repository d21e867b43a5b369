import { z } from 'zod';
import { chartOfAccounts, type AccountCode } from '#domain/journal/accounts';
import type { CanonicalValue } from '#domain/evidence/canonical-json';
import type { SettlementInputs, SettlementResult } from '#domain/settlement/types';
import { currencySchema } from './format';
import { storedCarriesSchema, storedLineSchema, storedPeriodLineSchema } from './stored-lines';
import { storedLimitSchema, storedTaxRuleSchema } from './stored-tax';
import { storedTermsSchema } from './stored-terms';
import { storedDate, storedId, storedInteger, storedText } from './stored-values';

/**
 * A settlement as it is stored and attached to its statement: inputs and result as plain JSON, every bigint as decimal
 * text. What is decoded and computed again must give the same canonical bytes, so nothing is defaulted, renamed or
 * dropped on the way.
 */
const period = z.strictObject({ id: storedId, from: storedDate, until: storedDate });

const kind = z.enum(['regular', 'final', 'supplementary']);

const periodInputs = z.strictObject({
  period,
  versions: z.array(z.strictObject({ id: storedId, startsOn: storedDate, terms: storedTermsSchema })),
  taxRules: z.array(storedTaxRuleSchema),
  limits: z.array(storedLimitSchema),
  machines: z.array(
    z.strictObject({
      id: storedId,
      tag: storedText,
      kind: storedId,
      placements: z.array(z.strictObject({ id: storedId, from: storedDate, until: storedDate.nullable() })),
    }),
  ),
  counts: z.array(
    z.strictObject({
      id: storedId,
      collectionId: storedId,
      placementId: storedId,
      machineId: storedId,
      accountingDate: storedDate,
      countedOn: storedDate,
      coveredFrom: storedDate,
      coveredUntil: storedDate,
      coinMinor: storedInteger,
      noteMinor: storedInteger,
      tokens: z.array(z.strictObject({ tokenId: storedId, pieces: z.int() })),
      meteredMinor: storedInteger.nullable(),
    }),
  ),
  refundSlips: z.array(
    z.strictObject({
      id: storedId,
      machineId: storedId,
      collectionId: storedId,
      accountingDate: storedDate,
      date: storedDate,
      amountMinor: storedInteger,
      paidBy: storedId,
    }),
  ),
  cashless: z.array(
    z.strictObject({ id: storedId, machineId: storedId, accountingDate: storedDate, grossMinor: storedInteger, refundedMinor: storedInteger }),
  ),
  breakIns: z.array(z.strictObject({ id: storedId, machineId: storedId, accountingDate: storedDate, amountMinor: storedInteger })),
});

export const storedInputsSchema = z.strictObject({
  format: z.literal(1),
  kind,
  currency: currencySchema,
  agreementId: storedId,
  siteId: storedId,
  carriesIn: storedCarriesSchema,
  earlier: z.array(z.strictObject({ inputs: periodInputs, issued: z.array(storedPeriodLineSchema) })),
  current: periodInputs,
  carriedItems: z.array(z.strictObject({ id: storedId, party: storedId, amountMinor: storedInteger })),
  advances: z.array(z.strictObject({ id: storedId, party: storedId, openMinor: storedInteger })),
  handedCash: z.array(
    z.strictObject({
      id: storedId,
      party: storedId,
      collectionId: storedId.nullable(),
      date: storedDate,
      amountMinor: storedInteger,
      reason: z.enum(['handed', 'kept', 'on-account']),
    }),
  ),
}) satisfies z.ZodType<SettlementInputs>;

const totals = z.strictObject({
  takingsMinor: storedInteger,
  refundsMinor: storedInteger,
  netTakingsMinor: storedInteger,
  lossInMinor: storedInteger,
  taxBeforeSplitMinor: storedInteger,
  chargesMinor: storedInteger,
  sharesMinor: storedInteger,
  lossOutMinor: storedInteger,
  operatorTaxMinor: storedInteger,
});

const payable = z.strictObject({
  party: storedId,
  sharesMinor: storedInteger,
  chargesMinor: storedInteger,
  refundsPaidMinor: storedInteger,
  taxFiledMinor: storedInteger,
  breakInsMinor: storedInteger,
  handedCashMinor: storedInteger,
  advancesRepaidMinor: storedInteger,
  carriedInMinor: storedInteger,
  amountMinor: storedInteger,
  outcome: z.enum(['due', 'carried', 'owed', 'nothing']),
  advances: z.array(z.strictObject({ advanceId: storedId, repaidMinor: storedInteger, openAfterMinor: storedInteger })),
  cashPayment: z.strictObject({ payMinor: storedInteger, roundingMinor: storedInteger }).nullable(),
});

const accountCode = z.string().refine((code): code is AccountCode => Object.hasOwn(chartOfAccounts, code), 'is not an account of the chart');

export const storedResultSchema = z.strictObject({
  format: z.literal(1),
  engineVersion: z.int().min(1),
  kind,
  currency: currencySchema,
  agreementId: storedId,
  periods: z.array(
    z.strictObject({ period, kind: z.enum(['current', 'difference']), lines: z.array(storedLineSchema), totals, carriesOut: storedCarriesSchema }),
  ),
  parties: z.array(
    z.strictObject({ party: storedId, role: z.enum(['operator', 'site', 'other']), sharesMinor: storedInteger, chargesMinor: storedInteger }),
  ),
  payables: z.array(payable),
  payoutLines: z.array(storedLineSchema),
  taxes: z.array(
    z.strictObject({
      ruleId: storedId,
      taxId: storedId,
      areaId: storedId,
      componentId: storedId,
      filedBy: z.enum(['operator', 'site']),
      borneBy: z.enum(['all', 'operator']),
      amountMinor: storedInteger,
    }),
  ),
  totals,
  breaches: z.array(
    z.strictObject({
      limitId: storedId,
      areaId: storedId,
      source: storedText,
      kind: z.enum(['highest-site-share', 'fixed-split', 'no-advances']),
      allowedMinor: storedInteger,
      actualMinor: storedInteger,
      changedPeriod: period.exactOptional(),
    }),
  ),
  postings: z.array(z.strictObject({ account: z.strictObject({ code: accountCode, holderId: storedId.nullable() }), amountMinor: storedInteger })),
}) satisfies z.ZodType<SettlementResult>;

/** Plain JSON of the inputs, for `canonicalJson`. */
export function encodeInputs(inputs: SettlementInputs): CanonicalValue {
  return plain(inputs);
}

/** Plain JSON of the result, for `canonicalJson`. */
export function encodeResult(result: SettlementResult): CanonicalValue {
  return plain(result);
}

export type Decoded<Document> =
  | { readonly ok: true; readonly document: Document }
  | { readonly ok: false; readonly problems: readonly { readonly pointer: string; readonly message: string }[] };

/** Reads stored or attached inputs; what does not fit is named by its place and never repaired. */
export function decodeInputs(value: unknown): Decoded<SettlementInputs> {
  return decoded(storedInputsSchema.safeParse(value));
}

/** Reads a stored or attached result. */
export function decodeResult(value: unknown): Decoded<SettlementResult> {
  return decoded(storedResultSchema.safeParse(value));
}

function decoded<Document>(parsed: z.ZodSafeParseResult<Document>): Decoded<Document> {
  if (parsed.success) return { ok: true, document: parsed.data };
  return {
    ok: false,
    problems: parsed.error.issues.map((issue) => ({ pointer: issue.path.map((step) => `/${String(step)}`).join(''), message: issue.message })),
  };
}

/** Copies plain data with every bigint as text. */
function plain(value: unknown): CanonicalValue {
  if (typeof value === 'bigint') return value.toString();
  if (value === null || typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean') return value;
  if (Array.isArray(value)) return value.map(plain);
  if (typeof value === 'object') {
    const copy: Record<string, CanonicalValue> = {};
    for (const [key, entry] of Object.entries(value)) copy[key] = plain(entry);
    return copy;
  }
  throw new Error(`A settlement holds plain data only, not ${typeof value}`);
}
