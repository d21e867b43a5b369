import type { ReportAsked } from '../api/variances-api';

const tenders = ['coin', 'note', 'cash'] as const;
const groups = ['machine', 'site', 'collector', 'month'] as const;

/** Reads what is asked for out of the address; the last three whole months where it does not say. Nonsense is left out. */
export function reportAskedBy(parameters: URLSearchParams, today: Date): ReportAsked {
  const day = (name: string) => /^\d{4}-\d\d-\d\d$/.exec(parameters.get(name) ?? '')?.[0];
  const id = (name: string) => /^[0-9a-f-]{36}$/.exec(parameters.get(name) ?? '')?.[0];
  const siteId = id('site');
  const tender = tenders.find((each) => each === parameters.get('tender'));
  return {
    by: groups.find((each) => each === parameters.get('by')) ?? 'site',
    from: day('from') ?? new Date(Date.UTC(today.getFullYear(), today.getMonth() - 3, 1)).toISOString().slice(0, 10),
    to: day('to') ?? new Date(Date.UTC(today.getFullYear(), today.getMonth() + 1, 0)).toISOString().slice(0, 10),
    ...(siteId === undefined ? {} : { siteId }),
    ...(tender === undefined ? {} : { tender }),
  };
}
