/** What a form sends for a day on which something was done: the present for today, else the middle of the day, so that no time zone makes another day of it. */
export function momentOn(day: string): string | undefined {
  return day === today() ? undefined : new Date(`${day}T12:00:00`).toISOString();
}

/** The day here and now, as a field for days has it. */
export function today(): string {
  const now = new Date();
  return new Date(now.getTime() - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 10);
}
