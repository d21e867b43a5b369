import { z } from 'zod';
import { formatMinor, parseMinor, type AmountProblem } from '#domain/money/amount';
import { isCurrencyCode, type CurrencyCode } from '#domain/money/currency';
import { isDecimal } from '#domain/money/decimal';
import { isLocalDate } from '#domain/calendar/local-date';
import type { BandsSplit, ChargeAmount, Guarantee, Split, Terms } from '#domain/terms/types';
import { currencySchema } from './format';

/**
 * Terms of an agreement as the API takes and shows them. Amounts are decimal text in the digits of the terms' one
 * currency, percentages exact decimals as text. `toTerms` and `fromTerms` lead to the domain's document and back.
 */
const amountText = z.string().max(24).describe('Decimal text with exactly the digits of the currency of the terms: 75.00.');

const percentText = z
  .string()
  .max(29)
  .refine(isDecimal, 'must be a plain decimal with at most nine places and no superfluous zeros')
  .describe('Percent, exact: 33.333333333.');

const dateText = z
  .string()
  .refine(isLocalDate, 'must be a day between 1900 and 2199')
  .meta({ format: 'date', description: 'Calendar day, ISO 8601.' });

const partyText = z.string().min(1).max(64).describe('Id of a party of these terms.');
const keyText = z
  .string()
  .regex(/^[a-z0-9][a-z0-9-]{0,39}$/, 'must be 1 to 40 small letters, digits or hyphens, beginning with a letter or digit')
  .describe('1 to 40 small letters, digits or hyphens.');
const scope = z.enum(['agreement', 'pool', 'machine']).describe('For what an amount is meant: once, for each pool, or for each machine.');

const cycleSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('month') }),
  z.strictObject({ kind: z.literal('four-weeks'), anchor: dateText }),
  z.strictObject({ kind: z.literal('week'), startsOnWeekday: z.int().min(1).max(7).describe('Monday 1 to Sunday 7.') }),
  z.strictObject({ kind: z.literal('visit') }),
]);

const chargeSchema = z
  .strictObject({
    id: keyText.describe('Stays the same over the versions of an agreement: unpaid rests are carried under it.'),
    title: z.string().trim().min(1).max(120).describe('As it shall stand on the statement.'),
    to: partyText,
    scope,
    amount: z.discriminatedUnion('kind', [
      z.strictObject({
        kind: z.literal('amount'),
        per: z.enum(['week', 'month', 'year', 'period', 'visit', 'machine-week', 'machine-month']),
        amount: amountText,
      }),
      z.strictObject({ kind: z.literal('percentage'), of: z.enum(['net-takings', 'cashless-takings', 'what-is-left']), percent: percentText }),
    ]),
    rest: z.enum(['lapse', 'carry']).describe('What becomes of the part that the takings do not reach.'),
  })
  .meta({ id: 'TermsCharge' });

const sharesSchema = z
  .array(z.strictObject({ party: partyText, percent: percentText }))
  .min(1)
  .max(20);

const bandSchema = z.strictObject({ from: amountText, to: amountText.nullable(), shares: sharesSchema });

const splitSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('shares'), shares: sharesSchema }),
  z.strictObject({
    kind: z.literal('bands'),
    method: z.enum(['marginal', 'whole']).describe('Each slice by its own list, or everything by the list of the band that is reached.'),
    scope: z.enum(['agreement', 'pool']),
    per: z.enum(['week', 'month', 'year', 'period']),
    bands: z.array(bandSchema).min(1).max(20),
  }),
]);

const guaranteeFields = { id: keyText, party: partyText, amount: amountText, per: z.enum(['week', 'month', 'year', 'period']), scope };

const guaranteeSchema = z
  .discriminatedUnion('kind', [
    z.strictObject({ kind: z.literal('at-least'), ...guaranteeFields, from: z.enum(['others', 'operator']) }),
    z.strictObject({ kind: z.literal('at-most'), ...guaranteeFields, excessTo: partyText }),
  ])
  .meta({ id: 'TermsGuarantee' });

const advancesSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('none') }),
  z.strictObject({ kind: z.literal('fixed'), amount: amountText }),
  z.strictObject({ kind: z.literal('percentage'), percent: percentText }),
]);

const payoutSchema = z.strictObject({
  smallest: amountText.describe('Less is carried to the next settlement.'),
  negative: z.enum(['carry', 'claim']),
  smallestCoin: amountText.nullable().describe('Where payment is in cash: the coin that it is rounded to.'),
});

/** What terms say about money: everything that may be otherwise while the parties and the periods stay. */
const changeableFields = {
  basis: z.enum(['counted', 'metered']),
  grouping: z.enum(['site', 'kind', 'machine']),
  tax: z.strictObject({ filedBy: z.enum(['as-the-rule-says', 'operator', 'site']), borneBy: z.enum(['as-the-rule-says', 'all', 'operator']) }),
  tokens: z.array(z.strictObject({ tokenId: z.string().min(1).max(64), value: amountText })).max(20),
  cashless: z.enum(['by-day', 'by-collection']),
  breakIns: z.strictObject({ borneBy: z.enum(['all', 'operator', 'site']) }),
  charges: z.array(chargeSchema).max(40),
  split: splitSchema,
  loss: z.enum(['carry', 'share']),
  guarantees: z.array(guaranteeSchema).max(20),
  advances: advancesSchema,
  payout: payoutSchema,
};

export const termsSchema = z
  .strictObject({
    format: z.literal(1),
    currency: currencySchema,
    arrangement: z.enum(['machine-lease', 'space-lease', 'joint-venture']),
    parties: z
      .array(z.strictObject({ id: partyText, role: z.enum(['operator', 'site', 'other']) }))
      .min(2)
      .max(20),
    cycle: cycleSchema,
    ...changeableFields,
  })
  .superRefine((terms, context) => {
    if (!isCurrencyCode(terms.currency)) return;
    for (const { path, text } of amountsIn(terms)) {
      const parsed = parseMinor(text, terms.currency);
      if (!parsed.ok) context.addIssue({ code: 'custom', path: [...path], message: reasons[parsed.problem], params: { code: parsed.problem } });
    }
  })
  .meta({ id: 'Terms' });

/** Some members of terms, to stand in the place of those that were signed. */
export const termsChangesSchema = z
  .strictObject(changeableFields)
  .partial()
  .refine((changes) => Object.keys(changes).length > 0, 'must name at least one member of the terms')
  .meta({ id: 'TermsChanges' });
export type TermsChanges = z.infer<typeof termsChangesSchema>;

export type TermsDocument = z.infer<typeof termsSchema>;

const reasons: { readonly [problem in AmountProblem]: string } = {
  'not-a-number': 'must be digits with a point before the decimals, without separators of thousands',
  'wrong-digits': 'must have exactly the digits after the point that the currency has',
  'too-large': 'is larger than any amount that this program deals with',
};

/** Every amount of the document with its place. The unparsed fields are all plain text, wherever they stand. */
function amountsIn(terms: Omit<TermsDocument, 'currency'>): { path: readonly (string | number)[]; text: string }[] {
  const { split, advances, payout } = terms;
  return [
    ...terms.tokens.map((token, index) => ({ path: ['tokens', index, 'value'], text: token.value })),
    ...terms.charges.flatMap(({ amount }, index) =>
      amount.kind === 'amount' ? [{ path: ['charges', index, 'amount', 'amount'], text: amount.amount }] : [],
    ),
    ...(split.kind === 'bands' ? split.bands : []).flatMap((band, index) => [
      { path: ['split', 'bands', index, 'from'], text: band.from },
      ...(band.to === null ? [] : [{ path: ['split', 'bands', index, 'to'], text: band.to }]),
    ]),
    ...terms.guarantees.map((guarantee, index) => ({ path: ['guarantees', index, 'amount'], text: guarantee.amount })),
    ...(advances.kind === 'fixed' ? [{ path: ['advances', 'amount'], text: advances.amount }] : []),
    { path: ['payout', 'smallest'], text: payout.smallest },
    ...(payout.smallestCoin === null ? [] : [{ path: ['payout', 'smallestCoin'], text: payout.smallestCoin }]),
  ];
}

/** The domain's terms of a document that the schema has accepted. */
export function toTerms(document: TermsDocument): Terms {
  const minor = (text: string): bigint => minorOf(text, document.currency);
  const { tokens, charges, split, guarantees, advances, payout, ...same } = document;
  return {
    ...same,
    tokens: tokens.map(({ tokenId, value }) => ({ tokenId, valueMinor: minor(value) })),
    charges: charges.map((charge) => ({ ...charge, amount: toChargeAmount(charge.amount, minor) })),
    split: toSplit(split, minor),
    guarantees: guarantees.map(({ amount, ...rest }): Guarantee => ({ ...rest, amountMinor: minor(amount) })),
    advances: advances.kind === 'fixed' ? { kind: 'fixed', amountMinor: minor(advances.amount) } : advances,
    payout: {
      smallestMinor: minor(payout.smallest),
      negative: payout.negative,
      smallestCoinMinor: payout.smallestCoin === null ? null : minor(payout.smallestCoin),
    },
  };
}

function toChargeAmount(amount: TermsDocument['charges'][number]['amount'], minor: (text: string) => bigint): ChargeAmount {
  return amount.kind === 'amount' ? { kind: 'amount', per: amount.per, amountMinor: minor(amount.amount) } : amount;
}

function toSplit(split: TermsDocument['split'], minor: (text: string) => bigint): Split {
  if (split.kind === 'shares') return split;
  const bands: BandsSplit['bands'] = split.bands.map((band) => ({
    fromMinor: minor(band.from),
    toMinor: band.to === null ? null : minor(band.to),
    shares: band.shares,
  }));
  return { ...split, bands };
}

/** The document of the domain's terms. */
export function fromTerms(terms: Terms): TermsDocument {
  const text = (minor: bigint): string => formatMinor(minor, terms.currency);
  const { parties, tokens, charges, split, guarantees, advances, payout, ...same } = terms;
  return {
    ...same,
    parties: [...parties],
    tokens: tokens.map(({ tokenId, valueMinor }) => ({ tokenId, value: text(valueMinor) })),
    charges: charges.map((charge) => ({
      ...charge,
      amount: charge.amount.kind === 'amount' ? { kind: 'amount', per: charge.amount.per, amount: text(charge.amount.amountMinor) } : charge.amount,
    })),
    split: fromSplit(split, text),
    guarantees: guarantees.map(({ amountMinor, ...rest }) => ({ ...rest, amount: text(amountMinor) })),
    advances: advances.kind === 'fixed' ? { kind: 'fixed', amount: text(advances.amountMinor) } : advances,
    payout: {
      smallest: text(payout.smallestMinor),
      negative: payout.negative,
      smallestCoin: payout.smallestCoinMinor === null ? null : text(payout.smallestCoinMinor),
    },
  };
}

function fromSplit(split: Split, text: (minor: bigint) => string): TermsDocument['split'] {
  if (split.kind === 'shares') return { kind: 'shares', shares: [...split.shares] };
  return {
    ...split,
    bands: split.bands.map((band) => ({
      from: text(band.fromMinor),
      to: band.toMinor === null ? null : text(band.toMinor),
      shares: [...band.shares],
    })),
  };
}

/** Where a problem that `checkTerms` names stands in the document: the same place, without the unit in the name. */
export function documentPointer(domainPointer: string): string {
  return domainPointer.replace(/Minor$/, '');
}

function minorOf(text: string, currency: CurrencyCode): bigint {
  const parsed = parseMinor(text, currency);
  if (!parsed.ok) throw new Error(`terms were not checked before they were used: ${parsed.problem}`);
  return parsed.minor;
}
