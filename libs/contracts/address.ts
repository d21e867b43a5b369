import { z } from 'zod';

/** One line of a postal address as it stands on an envelope. */
const lineSchema = z
  .string()
  .trim()
  .min(1)
  .max(100)
  .regex(/^\P{Cc}*$/u, 'must not hold control characters');

/** Postal address in the order in which it is written in its country; no program can know a better one. */
export const addressSchema = z.array(lineSchema).max(8).describe('Address line by line, as on an envelope; at most 8 lines of 100 characters.');

/** Text to look for in codes and names. */
export const searchSchema = z.string().trim().min(1).max(100).describe('Only those whose code or name contains this text; upper and lower case mean the same.');
