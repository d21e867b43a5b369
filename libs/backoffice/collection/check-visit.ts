import type { WrongField } from '#contracts/outcome';
import { toDayNumber, type LocalDate } from '#domain/calendar/local-date';
import { CLOCK_TOLERANCE_MS } from '../moment';
import type { VisitedSite } from './directory.sql';
import { localDay } from './local-day';

/** A round of one month may be booked to its last day when it ended in the next; further away it is a slip of the pen. */
const FURTHEST_BOOKING_DAYS = 31;

export type Visit = {
  readonly happenedAt: Date;
  /** Day to which the caller books it; `undefined` for the day of the visit. */
  readonly accountingDate: LocalDate | undefined;
  readonly accountingReason: string | undefined;
};

export type VisitDays = { readonly localDate: LocalDate; readonly accountingDate: LocalDate; readonly accountingReason: string | null };

/** The two days of a visit, or why they cannot be. `now` is the present instant. */
export function checkVisit(visit: Visit, place: { readonly site: VisitedSite; readonly now: Date }): VisitDays | WrongField[] {
  const { site, now } = place;
  const { happenedAt } = visit;
  if (happenedAt.getTime() > now.getTime() + CLOCK_TOLERANCE_MS) return [wrong('happenedAt', 'in-the-future', 'Nothing is collected ahead of time.')];
  const localDate = localDay({ instant: happenedAt, timeZone: site.time_zone });
  if (localDate === null) return [wrong('happenedAt', 'out-of-range', 'This is no day on which anything was collected.')];
  const today = localDay({ instant: now, timeZone: site.time_zone }) ?? localDate;
  const accountingDate = visit.accountingDate ?? localDate;
  const problems = [...outsideSite(site, localDate), ...wrongBooking(visit, { localDate, accountingDate, today })];
  if (problems.length > 0) return problems;
  return { localDate, accountingDate, accountingReason: accountingDate === localDate ? null : (visit.accountingReason ?? null) };
}

function outsideSite(site: VisitedSite, localDate: LocalDate): WrongField[] {
  if (localDate < site.opened_on) return [wrong('happenedAt', 'before-site-opened', `Site ${site.code} opened on ${site.opened_on}.`)];
  // On the day of closing the last boxes are emptied.
  if (site.closed_on !== null && localDate > site.closed_on) return [wrong('happenedAt', 'after-site-closed', `Site ${site.code} closed on ${site.closed_on}.`)];
  return [];
}

function wrongBooking(visit: Visit, days: { localDate: LocalDate; accountingDate: LocalDate; today: LocalDate }): WrongField[] {
  const { localDate, accountingDate, today } = days;
  if (accountingDate === localDate) return [];
  const problems: WrongField[] = [];
  if (visit.accountingReason === undefined) {
    problems.push(wrong('accountingReason', 'missing', `The visit was on ${localDate}: booking it to another day needs a reason.`));
  }
  if (accountingDate > today) {
    problems.push(wrong('accountingDate', 'in-the-future', `At the site it is ${today}.`));
  } else if (Math.abs(toDayNumber(accountingDate) - toDayNumber(localDate)) > FURTHEST_BOOKING_DAYS) {
    problems.push(wrong('accountingDate', 'too-far-away', `It is more than ${FURTHEST_BOOKING_DAYS} days from the visit on ${localDate}.`));
  }
  return problems;
}

function wrong(field: string, code: string, message: string): WrongField {
  return { path: [field], code, message };
}
