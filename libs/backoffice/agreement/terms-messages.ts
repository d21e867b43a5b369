import { formatMinor } from '#domain/money/amount';
import type { CurrencyCode } from '#domain/money/currency';
import type { TermsProblem, TermsProblemCode } from '#domain/terms/problems';

type Parameters = TermsProblem['parameters'];
type Message = (parameters: Parameters, amount: (minor: string | undefined) => string) => string;

const messages: { readonly [code in TermsProblemCode]: Message } = {
  'currency-not-of-the-site': ({ currency }) => `The site is kept in ${currency}.`,
  'needs-one-operator': () => 'Exactly one party is the operator.',
  'needs-one-site': () => 'Exactly one party is the site.',
  'party-listed-twice': () => 'This party is listed already.',
  'party-unknown': () => 'This is no party of the terms.',
  'party-not-in-split': () => 'This party has no share that could be raised or capped.',
  'weekday-out-of-range': () => 'Weekdays go from Monday 1 to Sunday 7.',
  'amount-out-of-range': ({ least, most }, amount) => `The amount lies between ${amount(least)} and ${amount(most)}.`,
  'percent-out-of-range': ({ percent }) => `${percent} is no percentage that can be taken: it lies between 0 and 100.`,
  'title-missing': () => 'It needs a name, which stands on the statement.',
  'id-used-twice': () => 'Another one has this id.',
  'token-listed-twice': () => 'This token is listed already.',
  'machine-has-no-pool-of-its-own': () => 'With machines in a common pool this is not known per machine.',
  'shares-not-hundred': ({ sum }) => `The shares make ${sum} percent instead of 100.`,
  'bands-missing': () => 'There is no band.',
  'bands-must-start-at-zero': () => 'The first band begins at 0.',
  'bands-gap-or-overlap': ({ next }, amount) => `It ends where the next one begins, at ${amount(next)}, and above its own beginning.`,
  'last-band-must-be-open': () => 'The last band has no end.',
  'guarantee-given-twice': () => 'This party has such a guarantee or cap already.',
  'guarantee-from-itself': () => 'Nobody pays a guarantee to themselves.',
  'excess-in-a-circle': () => 'What is above this cap comes back to the same party by way of the other caps: nobody would be capped.',
  'guarantee-above-cap': ({ cap }, amount) => `The same party gets at most ${amount(cap)}.`,
  'law-highest-site-share': ({ percent, highest, source }) => `The site has ${percent} percent and may have ${highest} at most (${source}).`,
  'law-fixed-split': ({ operatorPercent, sitePercent, source }) => `The law divides it ${operatorPercent} to ${sitePercent}, operator first (${source}).`,
  'law-no-advances': ({ source }) => `Advances are not allowed (${source}).`,
};

/** What is wrong with terms, for people. */
export function termsMessage(problem: TermsProblem, currency: CurrencyCode): string {
  return messages[problem.code](problem.parameters, (minor) => (minor === undefined ? '?' : amountOf(minor, currency)));
}

const amounts: ReadonlySet<string> = new Set(['least', 'most', 'next', 'cap']);

/** What the message names, by the names that other languages say it under. */
export function termsValues({ parameters }: TermsProblem, currency: CurrencyCode): Readonly<Record<string, string>> {
  return Object.fromEntries(Object.entries(parameters).map(([name, value]) => [name, amounts.has(name) ? amountOf(value, currency) : value]));
}

const amountOf = (minor: string, currency: CurrencyCode): string => `${formatMinor(BigInt(minor), currency)} ${currency}`;
