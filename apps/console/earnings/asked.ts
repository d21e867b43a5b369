import type { EarningsAsked } from '../api/earnings-api';

export const groups = ['place', 'cabinet', 'game'] as const;
export type Group = (typeof groups)[number];

const nextDay = (day: string): string => new Date(Date.parse(`${day}T00:00:00Z`) + 86_400_000).toISOString().slice(0, 10);

export interface Asked {
  readonly by: Group;
  readonly from: string;
  readonly to: string;
  /** Null while the days make no sense. */
  readonly query: EarningsAsked | null;
}

/** Reads what is asked for out of the address; the last twelve whole months where it does not say. */
export function earningsAskedBy(parameters: URLSearchParams, today: Date): Asked {
  const day = (name: string) => /^\d{4}-\d\d-\d\d$/.exec(parameters.get(name) ?? '')?.[0];
  const from = day('from') ?? new Date(Date.UTC(today.getFullYear(), today.getMonth() - 12, 1)).toISOString().slice(0, 10);
  const to = day('to') ?? new Date(Date.UTC(today.getFullYear(), today.getMonth(), 0)).toISOString().slice(0, 10);
  const days = (Date.parse(to) - Date.parse(from)) / 86_400_000;
  return { by: groups.find((each) => each === parameters.get('by')) ?? 'place', from, to, query: days >= 0 && days < 731 ? { from, before: nextDay(to) } : null };
}
