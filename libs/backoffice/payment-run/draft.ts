import { done, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { DraftPaymentRun, PaymentRun } from '#contracts/payment-run';
import type { LocalDate } from '#domain/calendar/local-date';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { presentOperator } from '../operator/operator.sql';
import { perform } from '../perform';
import { fieldFailure, otherCurrency, taken } from '../refusal';
import { accountsDue, type AccountDue, type Due } from './payables';
import { insertRun, lockRuns, presentRun, type NewTransfer } from './payment-run.sql';
import { toPaymentRun } from './to-payment-run';

/** Takes everything that can be paid, or the settlements that are named, into a run. Nothing is in two runs at once. */
export function draftPaymentRun(deps: Backoffice, caller: Caller, command: DraftPaymentRun): Promise<Outcome<PaymentRun>> {
  return perform<PaymentRun>(
    deps,
    caller,
    'payment-run.make',
    async ({ tx, now }) => {
      await lockRuns(tx);
      const operator = await presentOperator(tx);
      const due = chosen(await accountsDue(tx, { currency: command.currency ?? operator.currency, runId: null }), command.settlementIds);
      const wrong = wrongDraft(command, due, localDay({ instant: now, timeZone: operator.time_zone }));
      const { from } = due;
      if (from === null || wrong.length > 0) return refusedFields('invalid-command', wrong);
      const transfers = due.accounts.flatMap((account) => transferOf(deps, account));
      const id = command.id ?? deps.newId();
      await insertRun(tx, { id, kind: from.kind, fromDetailId: from.id, currency: due.currency, executeOn: command.executeOn, transfers, now });
      return done(await toPaymentRun(tx, await presentRun(tx, id)));
    },
    {
      constraints: {
        payment_run_pkey: taken(['id'], 'a payment run with this id'),
        payment_run_item_once: fieldFailure('wrong-state', { path: ['settlementIds'], code: 'in-another-run', message: 'One of the settlements is in another run.' }),
      },
    },
  );
}

/** The settlements named, in their accounts. What was paid on account is kept back from the whole account all the same. */
function chosen(due: Due, settlementIds: readonly string[] | undefined): Due {
  if (settlementIds === undefined) return due;
  const accounts = due.accounts.flatMap((account): AccountDue[] => {
    const [first, ...others] = account.rows.filter((row) => settlementIds.includes(row.settlement_id));
    if (first === undefined) return [];
    const rows = [first, ...others] as const;
    const openMinor = rows.reduce((sum, row) => sum + row.open_minor, 0n);
    const onAccountMinor = account.onAccountMinor < openMinor ? account.onAccountMinor : openMinor;
    const paysMinor = openMinor - onAccountMinor;
    return [{ ...account, rows, onAccountMinor, paysMinor, obstacle: paysMinor === 0n ? 'paid-on-account' : account.obstacle }];
  });
  return { ...due, accounts };
}

const obstacles: { readonly [code in NonNullable<AccountDue['obstacle']>]: string } = {
  'no-account': 'No bank account of the payee is confirmed.',
  'other-kind-of-account': 'The payee’s bank account is of another kind than yours.',
  'paid-on-account': 'What was paid on account covers it.',
  'no-own-account': 'No bank account of your own is confirmed.',
};

function wrongDraft({ executeOn, settlementIds }: DraftPaymentRun, { from, accounts, currency }: Due, today: LocalDate | null): WrongField[] {
  const wrong: WrongField[] = [];
  if (today === null || executeOn < today) wrong.push({ path: ['executeOn'], code: 'in-the-past', message: 'The bank pays today at the earliest.' });
  if (from === null) wrong.push({ path: [], code: 'no-own-account', message: 'Propose and confirm the bank account that you pay from first.' });
  else if (from.kind === 'us' && currency !== 'USD') wrong.push(otherCurrency(['currency'], 'This account pays in', 'USD'));
  (settlementIds ?? []).forEach((id, index) => {
    const account = accounts.find(({ rows }) => rows.some((row) => row.settlement_id === id));
    const path = ['settlementIds', index];
    if (account === undefined) wrong.push({ path, code: 'not-payable', message: 'Nothing is due of it, it is disputed, or it is in another run.' });
    else if (account.obstacle !== null) wrong.push({ path, code: account.obstacle, message: obstacles[account.obstacle] });
  });
  if (wrong.length === 0 && accounts.every(({ obstacle }) => obstacle !== null)) wrong.push({ path: [], code: 'nothing-to-pay', message: 'Nothing is due that could be paid by the bank.' });
  return wrong;
}

function transferOf(deps: Pick<Backoffice, 'newId'>, { rows, detail, obstacle, paysMinor, onAccountMinor }: AccountDue): NewTransfer[] {
  if (obstacle !== null || detail === null) return [];
  const [first] = rows;
  return [
    {
      id: deps.newId(),
      agreementId: first.agreement_id,
      siteId: first.site_id,
      partyId: first.party_id,
      bankDetailId: detail.id,
      amountMinor: paysMinor,
      onAccountMinor,
      items: rows.map((row) => ({ openItemId: row.open_item_id, amountMinor: row.open_minor })),
    },
  ];
}
