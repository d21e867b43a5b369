/** Moments are instants in the address, so that a colleague elsewhere sees the same, and local times in the fields: the reader's, or where a visit was, the site's. */

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

/** The same as the clock on the wall of a place shows it. */
export function toLocalIn(instant: string, timeZone: string | undefined): string {
  const moment = new Date(instant);
  return timeZone === undefined ? toLocal(instant) : new Date(moment.getTime() + offsetIn(moment, timeZone)).toISOString().slice(0, 16);
}

/** The instant of a local time as the clock on the wall of a place shows it, the reader's own where none is known; of an hour that its clock skips, the one after it. */
export function toInstantIn(local: string, timeZone: string | undefined): string | undefined {
  if (timeZone === undefined) return toInstant(local);
  const wall = /^\d{4}-\d\d-\d\dT\d\d:\d\d/.test(local) ? Date.parse(`${local.slice(0, 16)}Z`) : NaN;
  if (Number.isNaN(wall)) return undefined;
  const offsets = [wall - dayMs, wall + dayMs].map((around) => offsetIn(new Date(around), timeZone));
  // A day before and a day after: around a change of the clock one of them holds at that hour.
  const found = offsets.map((offset) => wall - offset).find((moment) => moment + offsetIn(new Date(moment), timeZone) === wall);
  return new Date(found ?? wall - (offsets[0] ?? 0)).toISOString();
}

const dayMs = 86_400_000;

/** How far a place's clock is ahead of UTC, in milliseconds. */
function offsetIn(moment: Date, timeZone: string): number {
  const parts = new Map(new Intl.DateTimeFormat('en', { timeZone, hourCycle: 'h23', year: 'numeric', month: 'numeric', day: 'numeric', hour: 'numeric', minute: 'numeric' }).formatToParts(moment).map(({ type, value }) => [type, Number(value)]));
  const at = (part: Intl.DateTimeFormatPartTypes): number => parts.get(part) ?? 0;
  return Date.UTC(at('year'), at('month') - 1, at('day'), at('hour'), at('minute')) - Math.floor(moment.getTime() / 60_000) * 60_000;
}

/** An instant out of the address; nonsense is left out. */
export function instantFrom(parameters: URLSearchParams, name: string): string | undefined {
  const text = parameters.get(name);
  if (text === null || !/^\d{4}-\d\d-\d\dT/.test(text)) return undefined;
  const moment = new Date(text);
  return Number.isNaN(moment.getTime()) ? undefined : moment.toISOString();
}
