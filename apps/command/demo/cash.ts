import type { Caller } from '#backoffice/caller';
import { recordCashMove } from '#backoffice/cash-trail/move';
import { readCashGaps } from '#backoffice/cash-trail/open-gaps';
import { localDay } from '#backoffice/collection/local-day';
import type { Backoffice } from '#backoffice/dependencies';
import { moneyOf, toAmount } from '#contracts/money';
import { addDays } from '#domain/calendar/local-date';
import { expectDone, inParallel } from './expect-done';
import type { DemoOperator } from './world';

type Cash = { readonly deps: Backoffice; readonly bookkeeper: Caller; readonly operator: DemoOperator; readonly now: Date };

const AT_ONCE = 4;
/** As far back as the list of open gaps looks by itself. Cash of before is not followed: more moves would make the first start slow. */
const DAYS_FOLLOWED = 31;
/** The cash of the last days lies in the counting room yet. */
const DAYS_IN_THE_ROOM = 3;
/** By so much one deposit is less than what was found. */
const LACKS_MINOR = 2_000n;

/** What was found in the boxes of the last weeks, paid into the bank two days later; one deposit is short. */
export async function bringToBank({ deps, bookkeeper, operator, now }: Cash): Promise<void> {
  const today = localDay({ instant: now, timeZone: operator.timeZone });
  if (today === null) throw new Error('the clock is outside the calendar');
  const days = { from: addDays(today, 1 - DAYS_FOLLOWED), to: addDays(today, -DAYS_IN_THE_ROOM) };
  const { gaps } = expectDone(await readCashGaps(deps, bookkeeper, days), 'look for what does not add up');
  const found = gaps.filter(({ kind }) => kind === 'paid-in').map(({ day, amount }) => ({ day, minor: -toAmount(amount).minor })).filter(({ minor }) => minor > LACKS_MINOR);
  const deposits = found.map((each, index) => (index === found.length - 1 ? { ...each, minor: each.minor - LACKS_MINOR } : each));
  await inParallel(deposits, AT_ONCE, async ({ day, minor }) => {
    expectDone(await recordCashMove(deps, bookkeeper, { kind: 'paid-in', movedOn: addDays(day, 2), countedOn: day, amount: moneyOf(minor, operator.currency) }), `pay the cash of ${day} in`);
  });
}
