import { dayOf } from '../../format/day';

/**
 * A day on which something was done, as a member of what a form sends: left out for today, which means now by the server's
 * clock, else the middle of the day, so that no time zone makes another day of it.
 */
export function at<Name extends string>(name: Name, day: string): { readonly [name in Name]?: string } {
  const isPast = day !== '' && day !== today();
  return (isPast ? { [name]: new Date(`${day}T12:00:00`).toISOString() } : {}) as { readonly [name in Name]?: string };
}

/** The day here and now, as a field for days has it. */
export const today = (): string => dayOf(new Date());
