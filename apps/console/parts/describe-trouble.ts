import type { Trouble } from '../api/problem';
import { words } from '../words/words';
import { sayFieldError } from './field-words';

export interface Described {
  readonly title: string;
  readonly text: readonly string[];
  /** What only the api says, in English, on a page in another language: small print, which helps whoever is asked about it. */
  readonly inEnglish: readonly string[];
  /** Given where the fault is on our side, so that it can be found. */
  readonly requestId: string | null;
}

/** A trouble in words: what happened, what is special about it, what to do. */
export function describe(trouble: Trouble): Described {
  if (trouble.kind === 'unreachable') return { title: words.trouble.unreachable, text: [words.trouble.unreachableAdvice], inEnglish: [], requestId: null };
  if (trouble.kind === 'unreadable') return { title: words.trouble.unreadable, text: [words.trouble.unreadableAdvice], inEnglish: [], requestId: null };
  const { code, detail, requestId, errors = [], status } = trouble.problem;
  const forPeople = words.problems[code];
  const { title, advice } = { ...trouble.problem, ...forPeople };
  const special = detail === undefined || forPeople?.withoutDetail ? [] : [{ message: detail, isEnglish: words.language !== 'en' }];
  const said = [...special, ...errors.map(sayFieldError), { message: advice, isEnglish: false }];
  // Two of a machine and day read alike: once is enough.
  const without = (isEnglish: boolean) => [...new Set(said.filter((each) => each.isEnglish === isEnglish).map(({ message }) => message.replace(/\.$/, '')))];
  return { title, text: without(false), inEnglish: without(true), requestId: status >= 500 ? requestId : null };
}
