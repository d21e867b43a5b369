import { z } from 'zod';
import { isLocalDate } from '#domain/calendar/local-date';
import { isCurrencyCode, type CurrencyCode } from '#domain/money/currency';

/** Formats that every resource shares, so that a date or an id is checked alike everywhere. */

/** A UUID; ones that we make are version 7, clients may send any version. */
export const idSchema = z.uuid().toLowerCase().describe('UUID. New things may be given one by the client, so that a retry is harmless.');

/** `/{id}` of a route. */
export const idParamsSchema = z.strictObject({ id: idSchema });

/** Code that people see and say: site code, machine tag, agreement code. Unique per operator and kind. */
export const codeSchema = z
  .string()
  .regex(/^[A-Z0-9][A-Z0-9-]{0,19}$/, 'must be 1 to 20 capital letters, digits or hyphens, beginning with a letter or digit')
  .describe('1 to 20 capital letters, digits or hyphens, beginning with a letter or digit.');

/** Name for people. Control characters would spoil files and pages that repeat the name. */
export const nameSchema = z
  .string()
  .trim()
  .min(1)
  .max(200)
  .regex(/^\P{Cc}*$/u, 'must not hold control characters')
  .describe('1 to 200 characters, no control characters.');

/** Why somebody did something, kept in the history. */
export const reasonSchema = z.string().trim().min(3).max(1000).describe('The reason, for people who read the history.');

/** Calendar day at the site, ISO 8601. */
export const localDateSchema = z.iso
  .date({ abort: true })
  .refine(isLocalDate, 'is not a day from 1900 to 2199')
  .describe('Calendar day, ISO 8601: 2026-03-31.');

/** Instant with its offset, RFC 3339. Answers are always in UTC. */
export const instantSchema = z.iso.datetime({ offset: true }).describe('Instant, RFC 3339 with offset: 2026-03-31T18:05:00+02:00.');

export const emailSchema = z.email().max(254).describe('E-mail address; upper and lower case mean the same.');

/** Country, ISO 3166-1 alpha-2. */
export const countrySchema = z.string().regex(/^[A-Z]{2}$/, 'must be two capital letters, e.g. US').describe('Country, ISO 3166-1 alpha-2: US.');

/** Currency, ISO 4217, one that the program knows the digits of. The cast says what the check makes sure of. */
export const currencySchema = z
  .string()
  .regex(/^[A-Z]{3}$/, 'must be three capital letters, e.g. USD')
  .refine(isCurrencyCode, 'is not a currency that the program knows')
  .describe('Currency, ISO 4217: USD.') as unknown as z.ZodType<CurrencyCode, CurrencyCode>;

/** IANA time zone that this runtime knows. */
export const timeZoneSchema = z
  .string()
  .max(64)
  .refine(isTimeZone, 'is not a known time zone')
  .describe('IANA time zone: America/Chicago.');

/** Counts the changes of a thing that two people may edit. */
export const revisionSchema = z.int().min(1).describe('Counts the changes; the ETag is this number in quotes.');

/** RFC 3339 in UTC, as all answers show instants. */
export function formatInstant(instant: Date): string {
  return instant.toISOString();
}

function isTimeZone(name: string): boolean {
  try {
    // Offsets such as +02:00 are accepted by Intl but know no daylight saving, so they are no place's time.
    return /^[A-Za-z]/.test(name) && Boolean(new Intl.DateTimeFormat('en', { timeZone: name }));
  } catch {
    return false;
  }
}
