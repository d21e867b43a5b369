import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { BankDetail } from '../api/shapes';
import { Answer } from '../parts/answer';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { Page } from '../parts/page';
import { TitledTable } from '../parts/titled-table';
import { useMutation } from '../parts/use-mutation';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { ProposeAccount } from './propose-account';
import { bankAccountsQuery, moneyOut } from './queries';

const text = words.moneyOut.accounts;

/** `payment-runs/accounts`: every account, masked, and what waits for a second person. */
export function BankAccountsPage() {
  const { api, may } = useOperator();
  const allowed = may('bank-detail.read');
  const question = useQuery({ ...bankAccountsQuery(api), enabled: allowed });
  const [proposing, setProposing] = useState(false);
  const [asked, setAsked] = useState<Asked | null>(null);
  if (!allowed) return <Denied title={text.title} />;
  const propose = may('bank-detail.propose') ? (
    <button type="button" className="button button-main" onClick={() => setProposing(true)}>
      {text.propose}
    </button>
  ) : undefined;
  return (
    <Page title={text.title} lead={text.lead} actions={propose}>
      <Answer question={question} lines={6}>
        {(accounts) => (
          <>
            <AccountTable id="waiting" title={text.waiting} none={text.noneWaiting} accounts={accounts.filter(({ state }) => state === 'proposed')} onAsked={setAsked} />
            <AccountTable id="known" title={text.known} none={text.none} accounts={accounts.filter(({ state }) => state !== 'proposed')} onAsked={setAsked} />
          </>
        )}
      </Answer>
      {proposing ? <ProposeAccount onClose={() => setProposing(false)} /> : null}
      {asked === null ? null : asked.change === 'confirm' ? <ConfirmAccount account={asked.account} onClose={() => setAsked(null)} /> : <GiveUp {...asked} change={asked.change} onClose={() => setAsked(null)} />}
    </Page>
  );
}

type Change = 'confirm' | 'reject' | 'withdraw';
type Asked = { readonly account: BankDetail; readonly change: Change };

const whoseOf = ({ partyName }: BankDetail): string => partyName ?? text.own;

interface AccountTableProps {
  readonly id: string;
  readonly title: string;
  readonly none: string;
  readonly accounts: readonly BankDetail[];
  readonly onAsked: (asked: Asked) => void;
}

function AccountTable({ id, title, none, accounts, onAsked }: AccountTableProps) {
  const { may } = useOperator();
  const changesOf = ({ state }: BankDetail): Change[] => {
    if (state === 'proposed') return (['confirm', 'reject'] as const).filter((change) => may(`bank-detail.${change}`));
    return state === 'in-force' && may('bank-detail.withdraw') ? ['withdraw'] : [];
  };
  return (
    <TitledTable
      id={id} title={title} none={none} columns={[text.whose, text.account, words.state, text.reason, words.commands]}
      rows={accounts.map((account) => (
        <tr key={account.id}>
          <th scope="row">{whoseOf(account)}</th>
          <td>
            {words.moneyOut.account(account)}
            <div className="soft small">{[account.holderName, account.bank].filter((each) => each !== null).join(', ')}</div>
          </td>
          <td>
            {text.state[account.state]}
            {account.madeAlone ? <div className="soft small">{text.alone}</div> : null}
          </td>
          <td>
            {account.reason}
            {account.note === null ? null : <div className="soft small">{account.note}</div>}
          </td>
          <td>
            <div className="row">
              {changesOf(account).map((change) => (
                <button key={change} type="button" className="button button-small" aria-label={text[`${change}For`](whoseOf(account))} onClick={() => onAsked({ account, change })}>
                  {text[change]}
                </button>
              ))}
            </div>
          </td>
        </tr>
      ))}
    />
  );
}

function ConfirmAccount({ account, onClose }: { readonly account: BankDetail; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const routingId = useId();
  const [number, setNumber] = useState('');
  const [routingNumber, setRoutingNumber] = useState('');
  const hasRouting = account.kind === 'us';
  const { errors, busy, submit } = useSending({ send: api.confirmAccount, fields: { number: id, routingNumber: routingId }, changes: [moneyOut], onDone: onClose });
  const onSubmit = () =>
    submit({ id: account.id, number, ...(hasRouting ? { routingNumber } : {}) }, [unless(!hasRouting || routingNumber.trim() !== '', routingId, text.missing), unless(number.trim() !== '', id, text.missing)]);
  return (
    <FormDialog title={text.confirmFor(whoseOf(account))} lead={hasRouting ? text.confirmBothLead : text.confirmLead} errors={errors} busy={busy} action={text.confirm} onSubmit={onSubmit} onClose={onClose}>
      {hasRouting ? <Field id={routingId} label={text.typedRouting} autoComplete="off" maxLength={50} error={errorAt(errors, routingId)} value={routingNumber} onValue={setRoutingNumber} /> : null}
      <Field id={id} label={text.typed} autoComplete="off" maxLength={50} error={errorAt(errors, id)} value={number} onValue={setNumber} />
    </FormDialog>
  );
}

function GiveUp({ account, change, onClose }: { readonly account: BankDetail; readonly change: 'reject' | 'withdraw'; readonly onClose: () => void }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const sending = useMutation({
    mutationFn: (reason: string, key) => (change === 'reject' ? api.rejectAccount : api.withdrawAccount)({ id: account.id, reason }, key),
    onSuccess: async () => {
      await client.invalidateQueries({ queryKey: moneyOut });
      onClose();
    },
  });
  return (
    <ConfirmWithReason
      title={text[`${change}For`](whoseOf(account))} what={text[`${change}What`]} action={text[change]} busy={sending.isPending} error={sending.error}
      onConfirm={(reason) => sending.mutate(reason)} onClose={onClose}
    />
  );
}
