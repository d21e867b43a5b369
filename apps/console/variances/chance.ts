/** A chance as people read it: two digits of per cent, and what is too small for them as below the smallest shown. */
export function formatChance(chance: number, locale: string, below: (percent: string) => string): string {
  const format = new Intl.NumberFormat(locale, { style: 'percent', maximumSignificantDigits: 2 });
  return chance < SMALLEST ? below(format.format(SMALLEST)) : format.format(chance);
}

const SMALLEST = 0.0001;
