import { z } from 'zod';
import { isLocalDate } from '#domain/calendar/local-date';
import { isDecimal } from '#domain/money/decimal';

/**
 * Values as stored documents hold them: minor units as decimal text, because a JSON number is a binary fraction to most
 * readers; dates and percentages as the domain has them. Each schema reads the stored text and gives the domain's type.
 */

/** Whole minor units, or the numerator of a fraction, as text. */
export const storedInteger = z
  .string()
  .regex(/^(0|-?[1-9]\d*)$/)
  .max(60)
  .transform((text) => BigInt(text));

export const storedDate = z.string().refine(isLocalDate, 'is not a local date');

export const storedDecimal = z.string().refine(isDecimal, 'is not a plain decimal');

export const storedId = z.string().min(1).max(200);

export const storedText = z.string().max(2000);
