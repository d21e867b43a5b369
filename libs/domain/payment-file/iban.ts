/**
 * International bank account numbers (ISO 13616) and bank identifiers (ISO 9362): whether one is written right. Whether an
 * account exists, only its bank can say.
 */

/**
 * Length of the whole number by country, as the registry of ISO 13616 has it; territories that use their country's form
 * are listed under their own code.
 */
const lengths: Readonly<Record<string, number>> = {
  AD: 24, AE: 23, AL: 28, AT: 20, AX: 18, AZ: 28, BA: 20, BE: 16, BG: 22, BH: 22, BR: 29, BY: 28, CH: 21, CR: 22, CY: 28, CZ: 24, DE: 22,
  DK: 18, DO: 28, EE: 20, EG: 29, ES: 24, FI: 18, FO: 18, FR: 27, GB: 22, GE: 22, GF: 27, GI: 23, GL: 18, GP: 27, GR: 27, GT: 28, HR: 21,
  HU: 28, IE: 22, IL: 23, IQ: 23, IS: 26, IT: 27, JO: 30, KW: 30, KZ: 20, LB: 28, LC: 32, LI: 21, LT: 20, LU: 20, LV: 21, LY: 25, MC: 27,
  MD: 24, ME: 22, MF: 27, MK: 19, MN: 20, MQ: 27, MR: 27, MT: 31, MU: 30, NC: 27, NI: 28, NL: 18, NO: 15, OM: 23, PF: 27, PK: 24, PL: 28,
  PM: 27, PS: 29, PT: 25, QA: 29, RE: 27, RO: 24, RS: 22, RU: 33, SA: 24, SC: 31, SD: 18, SE: 24, SI: 19, SK: 24, SM: 27, SO: 23, ST: 25,
  SV: 28, TF: 27, TL: 23, TN: 24, TR: 26, UA: 29, VA: 22, VG: 24, WF: 27, XK: 20, YE: 30, YT: 27,
};

export type IbanProblem = 'malformed' | 'country-unknown' | 'wrong-length' | 'wrong-check-digits';

/** As it is written in a file: without the blanks by which people group it, in capitals. */
export function compactIban(text: string): string {
  return text.replace(/\s/g, '').toUpperCase();
}

/** What is wrong with a number that `compactIban` gave, or `null`. The check is ISO 7064 mod 97-10: the remainder is 1. */
export function ibanProblem(iban: string): IbanProblem | null {
  if (!/^[A-Z]{2}\d{2}[A-Z0-9]{1,30}$/.test(iban)) return 'malformed';
  const length = lengths[iban.slice(0, 2)];
  if (length === undefined) return 'country-unknown';
  if (iban.length !== length) return 'wrong-length';
  return remainderOf97(iban.slice(4) + iban.slice(0, 4)) === 1 ? null : 'wrong-check-digits';
}

/** Letters count as two digits, A = 10 to Z = 35. */
function remainderOf97(text: string): number {
  return [...text].reduce((remainder, character) => {
    const value = Number.parseInt(character, 36);
    return (remainder * (value > 9 ? 100 : 10) + value) % 97;
  }, 0);
}

/** ISO 9362: four characters of the bank, two letters of the country, two of the place, and three of the branch or none. */
export function isBic(text: string): boolean {
  return /^[A-Z0-9]{4}[A-Z]{2}[A-Z0-9]{2}([A-Z0-9]{3})?$/.test(text);
}
