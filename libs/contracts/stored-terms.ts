import { z } from 'zod';
import type { Terms } from '#domain/terms/types';
import { currencySchema } from './format';
import { storedDate, storedDecimal, storedId, storedInteger, storedText } from './stored-values';

/** Terms inside a stored settlement: the domain's document with minor units as text. */
const shares = z.array(z.strictObject({ party: storedId, percent: storedDecimal }));
const scope = z.enum(['agreement', 'pool', 'machine']);
const perPeriod = z.enum(['week', 'month', 'year', 'period']);
const guarantee = { id: storedId, party: storedId, amountMinor: storedInteger, per: perPeriod, scope };

const cycle = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('month') }),
  z.strictObject({ kind: z.literal('four-weeks'), anchor: storedDate }),
  z.strictObject({ kind: z.literal('week'), startsOnWeekday: z.int() }),
  z.strictObject({ kind: z.literal('visit') }),
]);

const charge = z.strictObject({
  id: storedId,
  title: storedText,
  to: storedId,
  scope,
  amount: z.discriminatedUnion('kind', [
    z.strictObject({
      kind: z.literal('amount'),
      per: z.enum(['week', 'month', 'year', 'period', 'visit', 'machine-week', 'machine-month']),
      amountMinor: storedInteger,
    }),
    z.strictObject({ kind: z.literal('percentage'), of: z.enum(['net-takings', 'cashless-takings', 'what-is-left']), percent: storedDecimal }),
  ]),
  rest: z.enum(['lapse', 'carry']),
});

const split = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('shares'), shares }),
  z.strictObject({
    kind: z.literal('bands'),
    method: z.enum(['marginal', 'whole']),
    scope: z.enum(['agreement', 'pool']),
    per: perPeriod,
    bands: z.array(z.strictObject({ fromMinor: storedInteger, toMinor: storedInteger.nullable(), shares })),
  }),
]);

export const storedTermsSchema = z.strictObject({
  format: z.literal(1),
  currency: currencySchema,
  arrangement: z.enum(['machine-lease', 'space-lease', 'joint-venture']),
  parties: z.array(z.strictObject({ id: storedId, role: z.enum(['operator', 'site', 'other']) })),
  cycle,
  basis: z.enum(['counted', 'metered']),
  grouping: z.enum(['site', 'kind', 'machine']),
  tax: z.strictObject({ filedBy: z.enum(['as-the-rule-says', 'operator', 'site']), borneBy: z.enum(['as-the-rule-says', 'all', 'operator']) }),
  tokens: z.array(z.strictObject({ tokenId: storedId, valueMinor: storedInteger })),
  cashless: z.enum(['by-day', 'by-collection']),
  breakIns: z.strictObject({ borneBy: z.enum(['all', 'operator', 'site']) }),
  charges: z.array(charge),
  split,
  loss: z.enum(['carry', 'share']),
  guarantees: z.array(
    z.discriminatedUnion('kind', [
      z.strictObject({ kind: z.literal('at-least'), ...guarantee, from: z.enum(['others', 'operator']) }),
      z.strictObject({ kind: z.literal('at-most'), ...guarantee, excessTo: storedId }),
    ]),
  ),
  advances: z.discriminatedUnion('kind', [
    z.strictObject({ kind: z.literal('none') }),
    z.strictObject({ kind: z.literal('fixed'), amountMinor: storedInteger }),
    z.strictObject({ kind: z.literal('percentage'), percent: storedDecimal }),
  ]),
  payout: z.strictObject({ smallestMinor: storedInteger, negative: z.enum(['carry', 'claim']), smallestCoinMinor: storedInteger.nullable() }),
}) satisfies z.ZodType<Terms>;
