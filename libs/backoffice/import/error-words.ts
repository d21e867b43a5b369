import type { LineErrorCode } from './check-line';
import type { KeyLineErrorCode } from './keys/words';

/** What each reason means and what to do, for people, in one language. */
export type ImportErrorWords = Readonly<Record<LineErrorCode | KeyLineErrorCode, string>>;
