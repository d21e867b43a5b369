/**
 * Amounts as the API sends them: exact decimal texts beside their currency. They are calculated on as whole numbers of
 * the last place and shown through Intl, which takes the text as it is, so that no amount ever becomes a binary float.
 */
export interface Money {
  readonly amount: string;
  readonly currency: string;
}

type Signs = 'negative' | 'exceptZero';

/** The figure alone, for columns whose currency is named once. */
export function formatAmount(money: Money, locale: string, signs: Signs = 'negative'): string {
  const digits = digitsOf(money);
  const options = { minimumFractionDigits: digits, maximumFractionDigits: digits, signDisplay: signs } as const;
  return formatter(locale, options).format(money.amount as Intl.StringNumericLiteral);
}

/** The figure with its currency, for a figure that stands alone. */
export function formatMoney(money: Money, locale: string, signs: Signs = 'negative'): string {
  const digits = digitsOf(money);
  const options = {
    style: 'currency',
    currency: money.currency,
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
    signDisplay: signs,
  } as const;
  return formatter(locale, options).format(money.amount as Intl.StringNumericLiteral);
}

/** Whole number of the last place of the amount's text. */
export function unitsOf(money: Money): bigint {
  return BigInt(money.amount.replace('.', ''));
}

/** `now - before`. Two currencies have no difference: null. */
export function difference({ now, before }: { now: Money; before: Money }): Money | null {
  if (now.currency !== before.currency || digitsOf(now) !== digitsOf(before)) return null;
  return moneyOf({ units: unitsOf(now) - unitsOf(before), digits: digitsOf(now), currency: now.currency });
}

/** Sum of amounts of one currency; null when there are none, or several currencies. */
export function sum(amounts: readonly Money[]): Money | null {
  const [first, ...rest] = amounts;
  if (first === undefined) return null;
  if (rest.some((each) => each.currency !== first.currency || digitsOf(each) !== digitsOf(first))) return null;
  const units = amounts.reduce((total, each) => total + unitsOf(each), 0n);
  return moneyOf({ units, digits: digitsOf(first), currency: first.currency });
}

export function negated(money: Money): Money {
  return moneyOf({ units: -unitsOf(money), digits: digitsOf(money), currency: money.currency });
}

export function isZero(money: Money): boolean {
  return unitsOf(money) === 0n;
}

export function isNegative(money: Money): boolean {
  return unitsOf(money) < 0n;
}

/**
 * By how much an amount has changed, in thousandths of what it was before, cut off; null if it was zero or the
 * currency changed. Only for sorting and for showing a rounded percentage beside the exact difference.
 */
export function changeInThousandths({ now, before }: { now: Money; before: Money }): number | null {
  const changed = difference({ now, before });
  const base = unitsOf(before);
  if (changed === null || base === 0n) return null;
  const absoluteBase = base < 0n ? -base : base;
  return Number((unitsOf(changed) * 1000n) / absoluteBase);
}

/** Orders amounts of one currency by size, and different currencies by their code. */
export function compareMoney(one: Money, other: Money): number {
  if (one.currency !== other.currency) return one.currency < other.currency ? -1 : 1;
  const [left, right] = [unitsOf(one), unitsOf(other)];
  return left < right ? -1 : left > right ? 1 : 0;
}

export function moneyOf({ units, digits, currency }: { units: bigint; digits: number; currency: string }): Money {
  const sign = units < 0n ? '-' : '';
  const text = (units < 0n ? -units : units).toString().padStart(digits + 1, '0');
  const whole = text.slice(0, text.length - digits);
  return { amount: digits === 0 ? `${sign}${whole}` : `${sign}${whole}.${text.slice(-digits)}`, currency };
}

function digitsOf(money: Money): number {
  const dot = money.amount.indexOf('.');
  return dot === -1 ? 0 : money.amount.length - dot - 1;
}

/** Building a formatter costs some 20 microseconds, a long list shows thousands of figures. */
const formatters = new Map<string, Intl.NumberFormat>();

function formatter(locale: string, options: Intl.NumberFormatOptions): Intl.NumberFormat {
  const key = `${locale} ${JSON.stringify(options)}`;
  const known = formatters.get(key);
  if (known !== undefined) return known;
  const made = new Intl.NumberFormat(locale, options);
  formatters.set(key, made);
  return made;
}
