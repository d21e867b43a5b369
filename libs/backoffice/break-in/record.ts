import type { BreakIn, RecordBreakIn } from '#contracts/break-in';
import { toAmount } from '#contracts/money';
import { refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { LocalDate } from '#domain/calendar/local-date';
import { bookRecords } from '../agreement/book';
import { shareAgreementsOn } from '../agreement/on-day.sql';
import type { Caller } from '../caller';
import { beforeDay, localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { findPlaced, type Placed } from '../placement/find-placed';
import { otherCurrency, taken } from '../refusal';
import { followingExplanation } from '../variance/follow-meters';
import { insertBreakIn } from './break-in.sql';
import { readBack } from './to-break-in';

/**
 * Records cash that was stolen out of a box. It is in the books at once: the settlement of its period asks the tax rule
 * whether it is taxed and the terms who bears it.
 */
export async function recordBreakIn(deps: Backoffice, caller: Caller, command: RecordBreakIn): Promise<Outcome<BreakIn>> {
  const { machineTag, placementId, happenedOn, amount, note } = command;
  return perform(
    deps,
    caller,
    'break-in.record',
    async ({ tx, now }) => {
      const [at] = await findPlaced(tx, [{ machineTag, placementId, day: happenedOn, siteId: null, path: [], dayField: 'happenedOn' }], now);
      if (at === undefined || 'code' in at) return refusedFields('invalid-command', at === undefined ? [] : [at]);
      const accountingDate = command.accountingDate ?? happenedOn;
      const wrong = wrongBooking(command, { at, accountingDate, now });
      if (amount.currency !== at.site.currency) wrong.push(otherCurrency(['amount', 'currency'], `Site ${at.site.code} is kept in`, at.site.currency));
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const agreements = await shareAgreementsOn(tx, [{ siteId: at.site.id, day: accountingDate }]);
      const agreementId = agreements.get(1)?.agreement_id;
      if (agreementId === undefined) {
        const path = [command.accountingDate === undefined ? 'happenedOn' : 'accountingDate'];
        return refusedFields('no-agreement', [{ path, code: 'no-agreement', message: `No agreement holds at site ${at.site.code} on ${accountingDate}.` }]);
      }
      const id = command.id ?? deps.newId();
      const accountingReason = accountingDate === happenedOn ? null : (command.accountingReason ?? null);
      const { placementId: standing, machineId, site } = at;
      const booked = await bookRecords(tx, {
        records: [{ sourceId: id, agreementId, accountingDate }],
        cause: 'break-in',
        now,
        newId: deps.newId,
        write: async () => {
          await insertBreakIn(tx, { id, siteId: site.id, placementId: standing, machineId, happenedOn, accountingDate, accountingReason, currency: site.currency, amountMinor: toAmount(amount).minor, note, now });
          await followingExplanation(tx, { machineId, from: beforeDay(happenedOn), now, newId: deps.newId });
        },
      });
      return booked.ok ? readBack(tx, id) : booked;
    },
    {
      constraints: {
        break_in_pkey: taken(['id'], 'a break-in with this id'),
        break_in_day_once: taken(['happenedOn'], 'a break-in at this machine on this day'),
      },
    },
  );
}

function wrongBooking(command: RecordBreakIn, days: { at: Placed; accountingDate: LocalDate; now: Date }): WrongField[] {
  const { at, accountingDate, now } = days;
  if (accountingDate === command.happenedOn) return [];
  const today = localDay({ instant: now, timeZone: at.site.time_zone });
  return [
    ...(command.accountingReason === undefined
      ? [{ path: ['accountingReason'], code: 'missing', message: `It happened on ${command.happenedOn}: booking it to another day needs a reason.` }]
      : []),
    ...(today !== null && accountingDate > today ? [{ path: ['accountingDate'], code: 'in-the-future', message: `At the site it is ${today}.` }] : []),
  ];
}
