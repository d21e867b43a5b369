import type { BreakIn, CorrectBreakIn } from '#contracts/break-in';
import { toAmount } from '#contracts/money';
import { refused, refusedFields, type Outcome } from '#contracts/outcome';
import { bookRecords } from '../agreement/book';
import { shareAgreementsOn } from '../agreement/on-day.sql';
import type { Caller } from '../caller';
import { beforeDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { isCorrectedAlone } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { otherCurrency, taken } from '../refusal';
import { followingExplanation } from '../variance/follow-meters';
import { insertCorrection, selectBreakIn } from './break-in.sql';
import { readBack } from './to-break-in';

/** Writes an amount in the place of one that was wrong; the first stays legible, and somebody else than who recorded it does it. */
export async function correctBreakIn(deps: Backoffice, caller: Caller, command: { readonly breakInId: string } & CorrectBreakIn): Promise<Outcome<BreakIn>> {
  const { amount, reason } = command;
  return perform(
    deps,
    caller,
    'break-in.correct',
    async ({ tx, now }) => {
      const row = await selectBreakIn(tx, command.breakInId);
      if (row === null) return refused('not-found');
      if (amount.currency !== row.currency) {
        return refusedFields('invalid-command', [otherCurrency(['amount', 'currency'], `Site ${row.site_code} is kept in`, row.currency)]);
      }
      if (row.replaced_by_id !== null) return refused('wrong-state', { detail: 'This record was corrected already: correct the one that stands in its place.' });
      const alone = await isCorrectedAlone(tx, { recordedBy: row.recorded_by, now, detail: 'The record is your own.' });
      if (!alone.ok) return alone;

      const agreements = await shareAgreementsOn(tx, [{ siteId: row.site_id, day: row.accounting_date }]);
      const agreementId = agreements.get(1)?.agreement_id;
      if (agreementId === undefined) return refused('no-agreement', { detail: `There are no terms for ${row.site_code} on ${row.accounting_date}.` });
      const id = command.id ?? deps.newId();
      const booked = await bookRecords(tx, {
        records: [{ sourceId: id, agreementId, accountingDate: row.accounting_date }],
        cause: 'correction',
        now,
        newId: deps.newId,
        write: async () => {
          await insertCorrection(tx, { id, replacesId: row.id, amountMinor: toAmount(amount).minor, reason, now });
          if (alone.value) await labelRelaxed(tx, { recordId: id, rule: 'second-person', kind: 'break-in', now });
          await followingExplanation(tx, { machineId: row.machine_id, from: beforeDay(row.happened_on), now, newId: deps.newId });
        },
      });
      return booked.ok ? readBack(tx, id) : booked;
    },
    { constraints: { break_in_pkey: taken(['id'], 'a break-in with this id'), break_in_replaced_once: { code: 'changed-meanwhile' } } },
  );
}
