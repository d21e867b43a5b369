import { z } from 'zod';
import { formatMinor, parseMinor, type Amount, type AmountProblem } from '#domain/money/amount';
import { isCurrencyCode, type CurrencyCode } from '#domain/money/currency';
import { currencySchema } from './format';

const reasons: { readonly [problem in AmountProblem]: string } = {
  'not-a-number': 'must be digits with a point before the decimals, e.g. 1234.50, without separators of thousands',
  'wrong-digits': 'must have exactly the digits after the point that the currency has',
  'too-large': 'is larger than any amount that this program deals with',
};

/** An amount on the wire: text, so that no reader turns it into a binary fraction, with exactly the currency's digits. */
export const moneySchema = z
  .strictObject({
    amount: z.string().max(24).describe('Exactly the digits of the currency: 123.45 for USD, 123 for JPY.'),
    currency: currencySchema,
  })
  .superRefine(({ amount, currency }, context) => {
    // An unknown currency is reported on its own; how many digits it has nobody can say.
    if (!isCurrencyCode(currency)) return;
    const parsed = parseMinor(amount, currency);
    if (!parsed.ok) {
      context.addIssue({ code: 'custom', path: ['amount'], message: reasons[parsed.problem], params: { code: parsed.problem } });
    }
  })
  .meta({ id: 'Money' });
export type Money = z.infer<typeof moneySchema>;

/** For amounts that cannot be below zero: counts, deposits, payments. */
export const moneyNotNegativeSchema = moneySchema.refine(({ amount }) => !amount.startsWith('-'), {
  path: ['amount'],
  message: 'must not be below zero',
  params: { code: 'negative' },
});

/** For amounts of which nothing is nothing to write down. */
export const moneyPositiveSchema = moneyNotNegativeSchema.refine(({ amount }) => /[1-9]/.test(amount), {
  path: ['amount'],
  message: 'must be above zero',
  params: { code: 'not-positive' },
});

/** Minor units as the API writes them. */
export function toMoney(amount: Amount): Money {
  return { amount: formatMinor(amount.minor, amount.currency), currency: amount.currency };
}

/** `minor` of a row beside its `currency`. */
export function moneyOf(amountMinor: bigint, currency: CurrencyCode): Money {
  return toMoney({ minor: amountMinor, currency });
}

/** Minor units of an amount that a schema has checked; throws on any other. */
export function toAmount(money: Money): Amount {
  const parsed = parseMinor(money.amount, money.currency);
  if (!parsed.ok) throw new Error(`an amount was not checked before it was used: ${parsed.problem}`);
  return { currency: money.currency, minor: parsed.minor };
}
