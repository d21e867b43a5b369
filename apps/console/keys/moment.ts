/** Moments are instants in the address, so that a colleague elsewhere sees the same, and local times in the fields. */

/** `2026-03-01T08:00`, as a browser's field has it, in the reader's own time zone; empty for none. */
export function toLocal(instant: string | undefined): string {
  if (instant === undefined) return '';
  const moment = new Date(instant);
  return new Date(moment.getTime() - moment.getTimezoneOffset() * 60_000).toISOString().slice(0, 16);
}

/** The instant of a local time, or nothing for an empty or half-typed field. */
export function toInstant(local: string): string | undefined {
  const moment = /^\d{4}-\d\d-\d\dT\d\d:\d\d/.test(local) ? new Date(local) : null;
  return moment === null || Number.isNaN(moment.getTime()) ? undefined : moment.toISOString();
}

/** An instant out of the address; nonsense is left out. */
export function instantFrom(parameters: URLSearchParams, name: string): string | undefined {
  const text = parameters.get(name);
  if (text === null || !/^\d{4}-\d\d-\d\dT/.test(text)) return undefined;
  const moment = new Date(text);
  return Number.isNaN(moment.getTime()) ? undefined : moment.toISOString();
}
