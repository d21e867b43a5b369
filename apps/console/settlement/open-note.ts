import type { Settlement } from '../api/shapes';

type Word = Settlement['history'][number];

const pairs = { hold: { opens: 'held', closes: 'released' }, question: { opens: 'questioned', closes: 'answered' } } as const;

/** The hold that was not released, or the question that was not answered; null where there is none. */
export function openNote({ history }: Pick<Settlement, 'history'>, pair: keyof typeof pairs): Word | null {
  const { opens, closes } = pairs[pair];
  const last = history.findLast(({ kind }) => kind === opens || kind === closes);
  return last?.kind === opens ? last : null;
}

/** What the office said last, while no later question is open. */
export function lastAnswer(settlement: Pick<Settlement, 'history'>): Word | null {
  if (openNote(settlement, 'question') !== null) return null;
  return settlement.history.findLast(({ kind }) => kind === 'answered') ?? null;
}
