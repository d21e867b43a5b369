import { termsChangesSchema } from '#contracts/terms';
import type { Changes } from '../terms/draft';

/** What is compared: it stands in the address, so that it can be sent to a colleague. */
export interface Asked {
  /** Null: all sites. */
  readonly siteId: string | null;
  readonly startsOn: string;
  readonly endsBefore: string;
  readonly changes: Changes;
}

/** What is chosen before anything is compared: a link from a site brings it along. */
export interface Choice extends Omit<Asked, 'changes'> {
  readonly changes: Changes | null;
}

/** An address that somebody has cut or changed says as much as can be read of it. */
export function readChoice(parameters: URLSearchParams, today: string): Choice {
  const { startsOn, endsBefore } = lastTwelveMonths(today);
  return {
    siteId: parameters.get('site'),
    startsOn: dayIn(parameters, 'from') ?? startsOn,
    endsBefore: dayIn(parameters, 'before') ?? endsBefore,
    changes: changesIn(parameters.get('terms')),
  };
}

export function writeAsked({ siteId, startsOn, endsBefore, changes }: Asked): URLSearchParams {
  return new URLSearchParams({ ...(siteId === null ? {} : { site: siteId }), from: startsOn, before: endsBefore, terms: JSON.stringify(changes) });
}

/** Whole months up to the beginning of the present one. */
export function lastTwelveMonths(today: string): { readonly startsOn: string; readonly endsBefore: string } {
  const month = today.slice(0, 7);
  const year = Number(month.slice(0, 4)) - 1;
  return { startsOn: `${String(year).padStart(4, '0')}${month.slice(4)}-01`, endsBefore: `${month}-01` };
}

function dayIn(parameters: URLSearchParams, name: string): string | null {
  const text = parameters.get(name) ?? '';
  return /^\d{4}-\d{2}-\d{2}$/.test(text) ? text : null;
}

function changesIn(text: string | null): Changes | null {
  if (text === null) return null;
  try {
    const read = termsChangesSchema.safeParse(JSON.parse(text));
    // JSON has no members that are there and undefined.
    return read.success ? (read.data as Changes) : null;
  } catch {
    return null;
  }
}
