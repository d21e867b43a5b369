import type { Trouble } from '../api/problem';
import { words } from '../words/words';

export interface Described {
  readonly title: string;
  readonly text: readonly string[];
  /** Given where the fault is on our side, so that it can be found. */
  readonly requestId: string | null;
}

/** A trouble in words: what happened, what is special about it, what to do. */
export function describe(trouble: Trouble): Described {
  if (trouble.kind === 'unreachable') return { title: words.trouble.unreachable, text: [words.trouble.unreachableAdvice], requestId: null };
  if (trouble.kind === 'unreadable') return { title: words.trouble.unreadable, text: [words.trouble.unreadableAdvice], requestId: null };
  const { code, detail, requestId, errors, status } = trouble.problem;
  const forPeople = words.problems[code];
  const { title, advice } = { ...trouble.problem, ...forPeople };
  const special = detail === undefined || forPeople?.withoutDetail ? [] : [detail];
  const said = [...special, ...(errors?.map((each) => each.message) ?? []), advice].map((each) => each.replace(/\.$/, ''));
  return { title, text: said, requestId: status >= 500 ? requestId : null };
}
