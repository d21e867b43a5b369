import { en } from './en';

/** Everything that the console says. Another language is another object of this shape. */
export type Words = typeof en;

export const words: Words = en;
