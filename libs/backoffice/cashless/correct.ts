import type { CashlessTaking, CorrectCashless } from '#contracts/cashless';
import { toAmount } from '#contracts/money';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import { bookRecords } from '../agreement/book';
import { shareAgreementsOn } from '../agreement/on-day.sql';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { isCorrectedAlone } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { otherCurrency, taken } from '../refusal';
import { insertCorrection, selectTakings } from './cashless.sql';
import { toCashless } from './to-cashless';

/**
 * Writes a figure in the place of one that a reader had reported; the first stays legible. Card takings are in the books at
 * once, so somebody else than who recorded them corrects them, and a period that is numbered already is settled again.
 */
export async function correctCashless(deps: Backoffice, caller: Caller, command: { readonly cashlessId: string } & CorrectCashless): Promise<Outcome<CashlessTaking>> {
  return perform(
    deps,
    caller,
    'cashless.correct',
    async ({ tx, now }) => {
      const [row] = await selectTakings(tx, [command.cashlessId]);
      if (row === undefined) return refused('not-found');
      const wrong = (['gross', 'refunded'] as const)
        .filter((field) => command[field].currency !== row.currency)
        .map((field) => otherCurrency([field, 'currency'], `Site ${row.site_code} is kept in`, row.currency));
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      if (row.replaced_by_id !== null) return refused('wrong-state', { detail: 'This report was corrected already: correct the one that stands in its place.' });
      const alone = await isCorrectedAlone(tx, { recordedBy: row.recorded_by, now, detail: 'The report is your own.' });
      if (!alone.ok) return alone;

      const agreements = await shareAgreementsOn(tx, [{ siteId: row.site_id, day: row.accounting_date }]);
      const agreementId = agreements.get(1)?.agreement_id;
      if (agreementId === undefined) return refused('no-agreement', { detail: `There are no terms for ${row.site_code} on ${row.accounting_date}.` });
      const id = command.id ?? deps.newId();
      const { reason } = command;
      const figures = { grossMinor: toAmount(command.gross).minor, refundedMinor: toAmount(command.refunded).minor };
      const booked = await bookRecords(tx, {
        records: [{ sourceId: id, agreementId, accountingDate: row.accounting_date }],
        cause: 'correction',
        now,
        newId: deps.newId,
        write: async () => {
          await insertCorrection(tx, { id, replacesId: row.id, ...figures, reason, now });
          if (alone.value) await labelRelaxed(tx, { recordId: id, rule: 'second-person', kind: 'cashless-taking', now });
        },
      });
      if (!booked.ok) return booked;
      const [written] = await selectTakings(tx, [id]);
      if (written === undefined) throw new Error(`report ${id} is gone`);
      return done(toCashless(written));
    },
    { constraints: { cashless_taking_pkey: taken(['id'], 'a report with this id'), cashless_taking_replaced_once: { code: 'changed-meanwhile' } } },
  );
}
