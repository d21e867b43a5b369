import type { WrongField } from '#contracts/outcome';
import type { CountedDays, PlacementRow } from './placement.sql';

/** Days on which a machine may stand at a site. Ends are the first day no longer included. */
export type DaysAllowed = {
  readonly machine: { readonly tag: string; readonly acquired_on: string; readonly disposed_on: string | null };
  readonly site: { readonly code: string; readonly opened_on: string; readonly closed_on: string | null };
};

/** What the caller calls the two days: a move has one day that ends and begins. */
export type DayFields = { readonly placedOn: string; readonly removedOn: string };

/** Whether a machine may stand at a site on these days, as far as acquisition, disposal, opening and closing say. */
export function checkDays(input: {
  readonly placedOn: string;
  readonly removedOn: string | null;
  readonly allowed: DaysAllowed;
  readonly fields: DayFields;
}): WrongField[] {
  const { placedOn, removedOn, fields } = input;
  const { machine, site } = input.allowed;
  const wrong: WrongField[] = [];
  const report = (field: string, code: string, message: string) => wrong.push({ path: [field], code, message });

  if (placedOn < machine.acquired_on) report(fields.placedOn, 'before-acquisition', `Machine ${machine.tag} was acquired on ${machine.acquired_on}.`);
  if (placedOn < site.opened_on) report(fields.placedOn, 'before-site-opened', `Site ${site.code} opened on ${site.opened_on}.`);
  if (machine.disposed_on !== null && placedOn >= machine.disposed_on) {
    report(fields.placedOn, 'after-disposal', `Machine ${machine.tag} was disposed of on ${machine.disposed_on}.`);
  } else if (machine.disposed_on !== null && (removedOn === null || removedOn > machine.disposed_on)) {
    report(fields.removedOn, 'after-disposal', `Machine ${machine.tag} was disposed of on ${machine.disposed_on}.`);
  }
  if (site.closed_on !== null && placedOn >= site.closed_on) {
    report(fields.placedOn, 'after-site-closed', `Site ${site.code} closed on ${site.closed_on}.`);
  } else if (site.closed_on !== null && (removedOn === null || removedOn > site.closed_on)) {
    report(fields.removedOn, 'after-site-closed', `Site ${site.code} closed on ${site.closed_on}.`);
  }
  if (removedOn !== null && removedOn <= placedOn) {
    report(fields.removedOn, 'not-after-placing', `A machine is removed after the day it was placed, which is ${placedOn}.`);
  }
  return wrong;
}

/** Names the site where the machine stands already. */
export function standsElsewhere(input: { readonly other: PlacementRow; readonly field: string }): WrongField {
  const { other, field } = input;
  const until = other.removed_on === null ? 'and was not removed' : `until ${other.removed_on}`;
  return {
    path: [field],
    code: 'stands-elsewhere',
    message: `Machine ${other.machine_tag} stands at site ${other.site_code} since ${other.placed_on} ${until}.`,
  };
}

/**
 * Whether counts that were made stay within the days: a removal count on the day of removal, others before it. Card
 * takings and break-ins may still be of the day of removal.
 */
export function checkCounts(input: {
  readonly placedOn: string;
  readonly removedOn: string | null;
  readonly counted: CountedDays;
  readonly fields: DayFields;
}): WrongField[] {
  const { placedOn, removedOn, counted, fields } = input;
  const wrong: WrongField[] = [];
  if (counted.first !== null && counted.first < placedOn) {
    wrong.push({ path: [fields.placedOn], code: 'counted-earlier', message: `Its box was counted there on ${counted.first}.` });
  }
  if (counted.removal !== null && removedOn !== counted.removal) {
    wrong.push({ path: [fields.removedOn], code: 'removal-counted', message: `Its removal was counted on ${counted.removal}.` });
  } else if (counted.last !== null && removedOn !== null && (counted.last > removedOn || (counted.last === removedOn && counted.removal === null))) {
    wrong.push({ path: [fields.removedOn], code: 'counted-later', message: `Its box was counted there on ${counted.last}, and not as a removal.` });
  }
  const { first_reported: firstReported, last_reported: lastReported } = counted;
  if (firstReported !== null && firstReported < placedOn) {
    wrong.push({ path: [fields.placedOn], code: 'reported-earlier', message: `Card takings or a break-in there are recorded for ${firstReported}.` });
  }
  if (lastReported !== null && removedOn !== null && lastReported > removedOn) {
    wrong.push({ path: [fields.removedOn], code: 'reported-later', message: `Card takings or a break-in there are recorded for ${lastReported}.` });
  }
  return wrong;
}
