export const language = 'en';
export const number = new Intl.NumberFormat(language);
const rules = new Intl.PluralRules(language);

/** `1 site`, `2,000 sites` */
export function count(value: number, one: string, many: string): string {
  return `${number.format(value)} ${noun(value, one, many)}`;
}

export function noun(value: number, one: string, many: string): string {
  return rules.select(value) === 'one' ? one : many;
}

/** `17 of 2,000 sites`, for a list that is narrowed */
export function countOf({ shown, all }: { shown: number; all: number }, one: string, many: string): string {
  return shown === all ? count(all, one, many) : `${number.format(shown)} of ${count(all, one, many)}`;
}
