import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link, useNavigate } from 'react-router';
import type { PayableAccount, Payables } from '../api/shapes';
import { formatCount } from '../format/count';
import { dayOf, formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney, isZero } from '../format/money';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { Page } from '../parts/page';
import { TitledTable } from '../parts/titled-table';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { moneyOut, payablesQuery, paymentRunsQuery } from './queries';
import { StatementNumbers } from './statement-numbers';

const text = words.moneyOut;

/** `payment-runs`: what is to be paid, and every run that paid something. */
export function PaymentRunsPage() {
  const { api, may, to } = useOperator();
  const allowed = may('payment-run.read');
  const payables = useQuery({ ...payablesQuery(api), enabled: allowed });
  const [drafting, setDrafting] = useState(false);
  if (!allowed) return <Denied title={text.title} />;
  const canDraft = may('payment-run.make') && (payables.data?.transfers ?? 0) > 0;
  return (
    <Page
      title={text.title}
      lead={text.lead}
      actions={
        <div className="row">
          {canDraft ? (
            <button type="button" className="button button-main" onClick={() => setDrafting(true)}>
              {text.draft.action}
            </button>
          ) : null}
          {may('open-item.read') ? <Link to={to('payment-runs/ageing')} className="button">{text.ageing.link}</Link> : null}
          {may('bank-detail.read') ? <Link to={to('payment-runs/accounts')} className="button">{text.accountsLink}</Link> : null}
          {may('year-end.read') ? <Link to={to('payment-runs/year-end')} className="button">{text.yearEndLink}</Link> : null}
        </div>
      }
    >
      <Answer question={payables} lines={6}>{(found) => <Due payables={found} />}</Answer>
      <Runs />
      {drafting ? <Draft onClose={() => setDrafting(false)} /> : null}
    </Page>
  );
}

function Due({ payables }: { readonly payables: Payables }) {
  const { accounts, transfers, sum, from } = payables;
  return (
    <>
      <TitledTable id="due" title={text.due.title} none={text.due.none} columns={[words.site, text.due.pays, text.due.payee, text.due.to, text.due.statements]} figures={[text.due.pays]} rows={accounts.map((account) => <DueRow key={`${account.agreementId} ${account.partyId}`} account={account} />)} />
      {accounts.length === 0 ? null : <p className="soft">{text.due.byHand}</p>}
      {accounts.length === 0 ? null : <p>{[text.due.sum(transfers, formatMoney(sum, locale)), from === null ? text.due.noOwnAccount : text.due.from(text.account(from))].join(' ')}</p>}
    </>
  );
}

function DueRow({ account }: { readonly account: PayableAccount }) {
  const { may, to } = useOperator();
  return (
    <tr>
      <th scope="row">{may('site-account.read') ? <Link to={to(`sites/${account.siteId}/account`)}>{account.siteName}</Link> : account.siteName}</th>
      <td className="figure">
        <Amount money={account.pays} alone />
        {isZero(account.onAccount) ? null : <div className="soft small">{text.due.onAccount(formatMoney(account.onAccount, locale))}</div>}
      </td>
      <td>{account.partyName}</td>
      <td>
        {account.account === null ? null : text.account(account.account)}
        {account.obstacle === null ? null : <div className="soft small">{text.obstacle[account.obstacle]}</div>}
      </td>
      <td>
        <StatementNumbers settlements={account.settlements} />
      </td>
    </tr>
  );
}

function Runs() {
  const { api, to } = useOperator();
  const question = useQuery(paymentRunsQuery(api));
  return (
    <Answer question={question} lines={4}>
      {(runs) => (
        <TitledTable
          id="runs" title={text.runs.title} none={text.runs.none} columns={[text.runs.executeOn, words.state, text.runs.transfers, text.runs.sum]} figures={[text.runs.transfers, text.runs.sum]}
          rows={runs.map((run) => (
            <tr key={run.id}>
              <th scope="row">
                <Link to={to(`payment-runs/${run.id}`)}>{formatDay(run.executeOn, locale)}</Link>
              </th>
              <td>{text.state[run.state]}</td>
              <td className="figure">{formatCount(run.transferCount, locale)}</td>
              <td className="figure">
                <Amount money={run.sum} alone />
              </td>
            </tr>
          ))}
        />
      )}
    </Answer>
  );
}

function Draft({ onClose }: { readonly onClose: () => void }) {
  const { api, to } = useOperator();
  const navigate = useNavigate();
  const id = useId();
  const [executeOn, setExecuteOn] = useState(() => dayOf(new Date()));
  const { errors, busy, submit } = useSending({ send: api.draftRun, fields: { executeOn: id }, changes: [moneyOut], onDone: (run) => void navigate(to(`payment-runs/${run.id}`)) });
  return (
    <FormDialog title={text.draft.action} lead={text.draft.what} errors={errors} busy={busy} action={text.draft.action} onSubmit={() => submit({ executeOn }, [unless(executeOn !== '', id, text.draft.dayMissing)])} onClose={onClose}>
      <Field id={id} type="date" label={text.draft.executeOn} error={errorAt(errors, id)} value={executeOn} onValue={setExecuteOn} />
    </FormDialog>
  );
}
