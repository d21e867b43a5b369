import { types, type CustomTypesConfig } from 'pg';

const INT8 = 20;
const INT8_ARRAY = 1016;
const DATE = 1082;
const DATE_ARRAY = 1182;

/**
 * How rows come out of `tx.sql`. Differs from pg's own habits where those lose something: bigint becomes a `bigint`
 * (minor units, counts), a date stays the text `YYYY-MM-DD` (pg would make it an instant of the machine's time zone).
 * numeric is a string, timestamptz a Date, jsonb its value, bytea a Buffer, as pg has them.
 */
export const valueTypes: CustomTypesConfig = {
  getTypeParser: (oid: number, format?: string) => {
    if (format === 'binary') return types.getTypeParser(oid, 'binary') as (value: Buffer) => unknown;
    switch (oid) {
      case INT8:
        return BigInt;
      case INT8_ARRAY:
        return (text: string) => parseTextArray(text).map((item) => (item === null ? null : BigInt(item)));
      case DATE:
        return (text: string) => text;
      case DATE_ARRAY:
        return parseTextArray;
      default:
        return types.getTypeParser(oid, 'text') as (value: string) => unknown;
    }
  },
};

/** Its parser of pg's, for arrays of unquoted items, whatever their type. */
const TEXT_ARRAY: number = 1009;

function parseTextArray(text: string): (string | null)[] {
  const parse = types.getTypeParser(TEXT_ARRAY, 'text') as (value: string) => (string | null)[];
  return parse(text);
}
