import type { KeyCase } from '../../api/shapes';

/** What is still to be done, with how many of each; `about` is the part of the page that has them. */
export type NextStep =
  | { readonly kind: 'name-code'; readonly about: 'new-cut' }
  | { readonly kind: 'change-locks'; readonly about: 'locks'; readonly locks: number; readonly overdue: number }
  | { readonly kind: 'give-keys'; readonly about: 'give'; readonly holders: number }
  | { readonly kind: 'call-in'; readonly about: 'call-in'; readonly copies: number }
  | { readonly kind: 'close'; readonly about: 'ending' };

/** The rest of a case in the order in which it is done; empty once it is closed. */
export function nextSteps(lost: Pick<KeyCase, 'closed' | 'newCode' | 'locks' | 'copiesToGive' | 'copiesToCallIn'>): readonly NextStep[] {
  if (lost.closed !== null) return [];
  const locks = lost.locks.filter(({ state }) => state !== 'changed');
  const holders = lost.copiesToGive.filter(({ given }) => given === null).length;
  const copies = lost.copiesToCallIn.filter(({ calledIn, leftOut, where }) => !calledIn && !leftOut && where?.state === 'held').length;
  const steps: NextStep[] = [];
  if (locks.length > 0 && lost.newCode === null) steps.push({ kind: 'name-code', about: 'new-cut' });
  if (locks.length > 0) steps.push({ kind: 'change-locks', about: 'locks', locks: locks.length, overdue: locks.filter(({ overdue }) => overdue).length });
  // Nobody has a key of a cut that is not named yet.
  if (holders > 0 && lost.newCode !== null) steps.push({ kind: 'give-keys', about: 'give', holders });
  if (copies > 0) steps.push({ kind: 'call-in', about: 'call-in', copies });
  if (locks.length === 0 && copies === 0) steps.push({ kind: 'close', about: 'ending' });
  return steps;
}

/** What somebody must be allowed for that part of the page to be there; a step of another kind has its part for every reader. */
export const neededFor: Partial<Record<NextStep['kind'], 'key-case.confirm' | 'key-case.close'>> = { 'name-code': 'key-case.confirm', close: 'key-case.close' };
