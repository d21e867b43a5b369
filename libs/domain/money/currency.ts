/**
 * The currencies of ISO 4217 with the number of digits after the decimal mark (the standard's "exponent").
 *
 * Two digits are the rule; the others are listed. Codes without a minor unit of their own that nobody is paid in
 * (precious metals, bond units, testing codes, XXX) are left out on purpose, and so are the four-digit accounting
 * units CLF and UYW: no cash box holds them.
 *
 * Source: ISO 4217 currency list (maintenance agency SIX), active codes, from memory for the plain two-digit ones;
 * the zero- and three-digit codes are checked in currency.test.ts.
 */
const zeroDigitCodes = ['BIF', 'CLP', 'DJF', 'GNF', 'ISK', 'JPY', 'KMF', 'KRW', 'PYG', 'RWF', 'UGX', 'VND', 'VUV', 'XAF', 'XOF', 'XPF'] as const;

const threeDigitCodes = ['BHD', 'IQD', 'JOD', 'KWD', 'LYD', 'OMR', 'TND'] as const;

const twoDigitCodes = [
  'AED', 'AFN', 'ALL', 'AMD', 'AOA', 'ARS', 'AUD', 'AWG', 'AZN', 'BAM', 'BBD', 'BDT', 'BMD', 'BND', 'BOB', 'BRL', 'BSD', 'BTN',
  'BWP', 'BYN', 'BZD', 'CAD', 'CDF', 'CHF', 'CNY', 'COP', 'CRC', 'CUP', 'CVE', 'CZK', 'DKK', 'DOP', 'DZD', 'EGP', 'ERN', 'ETB',
  'EUR', 'FJD', 'FKP', 'GBP', 'GEL', 'GHS', 'GIP', 'GMD', 'GTQ', 'GYD', 'HKD', 'HNL', 'HTG', 'HUF', 'IDR', 'ILS', 'INR', 'IRR',
  'JMD', 'KES', 'KGS', 'KHR', 'KPW', 'KYD', 'KZT', 'LAK', 'LBP', 'LKR', 'LRD', 'LSL', 'MAD', 'MDL', 'MGA', 'MKD', 'MMK', 'MNT',
  'MOP', 'MRU', 'MUR', 'MVR', 'MWK', 'MXN', 'MYR', 'MZN', 'NAD', 'NGN', 'NIO', 'NOK', 'NPR', 'NZD', 'PAB', 'PEN', 'PGK', 'PHP',
  'PKR', 'PLN', 'QAR', 'RON', 'RSD', 'RUB', 'SAR', 'SBD', 'SCR', 'SDG', 'SEK', 'SGD', 'SHP', 'SLE', 'SOS', 'SRD', 'SSP', 'STN',
  'SVC', 'SYP', 'SZL', 'THB', 'TJS', 'TMT', 'TOP', 'TRY', 'TTD', 'TWD', 'TZS', 'UAH', 'USD', 'UYU', 'UZS', 'VED', 'VES', 'WST',
  'XCD', 'XCG', 'YER', 'ZAR', 'ZMW', 'ZWG',
] as const;

export type CurrencyCode = (typeof zeroDigitCodes)[number] | (typeof threeDigitCodes)[number] | (typeof twoDigitCodes)[number];

/** Digits after the decimal mark: the smallest unit of the currency is 10 to the power of minus this. */
export type CurrencyDigits = 0 | 2 | 3;

const digitsByCode: ReadonlyMap<string, CurrencyDigits> = new Map<string, CurrencyDigits>([
  ...zeroDigitCodes.map((code) => [code, 0] as const),
  ...twoDigitCodes.map((code) => [code, 2] as const),
  ...threeDigitCodes.map((code) => [code, 3] as const),
]);

/** All known codes in alphabetical order, for lists to choose from. */
export const currencyCodes: readonly CurrencyCode[] = [...zeroDigitCodes, ...threeDigitCodes, ...twoDigitCodes].sort();

/** Whether the text is a known ISO 4217 code (upper case, exactly). */
export function isCurrencyCode(text: string): text is CurrencyCode {
  return digitsByCode.has(text);
}

/** Digits after the decimal mark of a currency: 0, 2 or 3. */
export function currencyDigits(code: CurrencyCode): CurrencyDigits {
  const digits = digitsByCode.get(code);
  if (digits === undefined) throw new Error(`Unknown currency ${String(code)}`);
  return digits;
}
