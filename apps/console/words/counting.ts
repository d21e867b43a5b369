import { localeOf } from '../format/locale-of';

interface Counting {
  /** Writes whole numbers. */
  readonly number: Intl.NumberFormat;
  /** `1 site`, `2,000 sites` */
  readonly count: (value: number, one: string, many: string) => string;
  /** The noun alone, in the form that the number asks for. */
  readonly noun: (value: number, one: string, many: string) => string;
}

/** How things are counted in a language that has one form for one thing and another for any other number of them. */
export function countingIn(language: string): Counting {
  const number = new Intl.NumberFormat(localeOf(language));
  const rules = new Intl.PluralRules(localeOf(language));
  // Spanish has a third form, for whole millions (`un millón de locales`), to which no count here comes.
  const noun = (value: number, one: string, many: string) => (rules.select(value) === 'one' ? one : many);
  return { number, noun, count: (value, one, many) => `${number.format(value)} ${noun(value, one, many)}` };
}
