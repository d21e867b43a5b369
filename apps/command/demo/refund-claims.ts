import type { Caller } from '#backoffice/caller';
import type { Backoffice } from '#backoffice/dependencies';
import { enterRefundClaim } from '#backoffice/refund-claim/refund-claim';
import { moneyOf } from '#contracts/money';
import { addDays, type LocalDate } from '#domain/calendar/local-date';
import { periodContaining } from '#domain/calendar/periods';
import { expectDone } from './expect-done';
import type { DemoIds } from './set-up';
import type { DemoEvent } from './visits';
import type { DemoOperator } from './world';

type Claims = { readonly deps: Backoffice; readonly operator: DemoOperator; readonly ids: DemoIds; readonly siteManager: Caller };

/** None in whole units, as slips of visits are: none of those says the same. */
const amountsMinor = [250n, 150n, 450n] as const;
const DAYS_BEFORE_END = 4;

/**
 * Refund slips that the first site has entered and nobody has presented yet: one that was forgotten in the period that waits
 * to be closed, and two of the last days.
 */
export function refundClaimEvents({ deps, operator, ids, siteManager }: Claims, today: LocalDate): readonly DemoEvent[] {
  const [site] = operator.sites;
  const machines = site?.machines.filter(({ move }) => move === null) ?? [];
  const days = [addDays(periodContaining(operator.cycle, today).from, -DAYS_BEFORE_END), addDays(today, -2), addDays(today, -1)];
  return days.map((on, index) => ({
    on,
    enter: async () => {
      const command = {
        siteId: ids.sites.get(site?.code ?? '') ?? '',
        machineTag: machines[index % machines.length]?.tag ?? '',
        refundedOn: on,
        amount: moneyOf(amountsMinor[index] ?? 0n, operator.currency),
        reason: operator.words.refundReasons[index] ?? '',
        number: `R-${index + 1}`,
      };
      expectDone(await enterRefundClaim(deps, siteManager, command), `enter a refund slip of ${on}`);
    },
  }));
}
