import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { CashMove, ChangeFund } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { everySiteQuery } from '../keys/queries';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { TitledTable } from '../parts/titled-table';
import { useMutation } from '../parts/use-mutation';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { changeFundsQuery } from './queries';

/** Every change fund with what the books say lies in it now. */
export function FundsSection() {
  const { api, may } = useOperator();
  const [adding, setAdding] = useState(false);
  const question = useQuery(changeFundsQuery(api));
  const text = words.cash.funds;
  return (
    <>
      <Answer question={question} lines={3}>
        {({ items }) => <TitledTable id="funds" title={text.title} none={text.none} columns={[text.code, words.site, text.balance, text.countedOn]} rows={items.map((fund) => <FundRow key={fund.id} fund={fund} />)} />}
      </Answer>
      {may('change-fund.create') ? (
        <div>
          <button type="button" className="button" onClick={() => setAdding(true)}>
            {text.add}
          </button>
        </div>
      ) : null}
      {adding ? <AddFund onClose={() => setAdding(false)} /> : null}
    </>
  );
}

const fundKinds = ['changer', 'tubes', 'hopper'] as const;

function AddFund({ onClose }: { readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const sites = useQuery(everySiteQuery(api));
  const [kind, setKind] = useState<(typeof fundKinds)[number]>('changer');
  const [code, setCode] = useState('');
  const [siteId, setSiteId] = useState('');
  const fields = { kind: `${id}-kind`, code: `${id}-code`, siteId: `${id}-site` };
  const { errors, busy, submit } = useSending({ send: api.createChangeFund, fields, changes: [['cash']], onDone: onClose });
  const text = words.cash.funds;
  const send = () => submit({ kind, code: code.trim().toUpperCase(), siteId }, [unless(code.trim() !== '', fields.code, text.codeMissing), unless(siteId !== '', fields.siteId, text.siteMissing)]);
  return (
    <FormDialog title={text.add} lead={text.addLead} errors={errors} busy={busy} action={text.add} onSubmit={send} onClose={onClose}>
      <SelectField id={fields.kind} label={text.what} value={kind} options={fundKinds.map((value) => ({ value, text: text.kind[value] }))} onValue={(value) => setKind(fundKinds.find((each) => each === value) ?? kind)} />
      <Field id={fields.code} label={text.codeLabel} hint={text.codeHint} autoComplete="off" maxLength={20} error={errorAt(errors, fields.code)} value={code} onValue={setCode} />
      <SelectField
        id={fields.siteId} label={words.site} error={errorAt(errors, fields.siteId)} value={siteId} none={words.cash.record.choose} isLoading={sites.isLoading} onValue={setSiteId}
        options={(sites.data ?? []).map((site) => ({ value: site.id, text: `${site.name} (${site.code})` }))}
      />
    </FormDialog>
  );
}

function FundRow({ fund }: { readonly fund: ChangeFund }) {
  const text = words.cash.funds;
  return (
    <tr>
      <th scope="row">
        {fund.code} <span className="soft small">{fund.machineTag === null ? text.kind[fund.kind] : `${text.kind[fund.kind]}, ${fund.machineTag}`}</span>
      </th>
      <td>{fund.siteCode}</td>
      <td>
        <Amount money={fund.balance} alone />
      </td>
      <td>{fund.countedOn === null ? <span className="soft">{text.never}</span> : formatDay(fund.countedOn, locale)}</td>
    </tr>
  );
}

/** Moves of the day, those that were taken back among them. */
export function MovesSection({ moves }: { readonly moves: readonly CashMove[] }) {
  const { api, may } = useOperator();
  const client = useQueryClient();
  const [asked, setAsked] = useState<CashMove | null>(null);
  const takingBack = useMutation({
    mutationFn: api.takeBackCashMove,
    onSuccess: async () => {
      await client.invalidateQueries({ queryKey: ['cash'] });
      setAsked(null);
    },
  });
  const text = words.cash.moves;
  const changes = may('cash-move.record');
  return (
    <>
      <TitledTable
        id="moves" title={text.title} none={text.none} columns={[text.what, text.amount, text.reference, ...(changes ? [words.commands] : [])]}
        rows={moves.map((move) => (
          <tr key={move.id}>
            <th scope="row">
              {text.kind[move.kind]} <span className="soft small">{[move.collectorName, move.fundCode].filter((each) => each !== null).join(', ')}</span>
              {move.takenBack === null ? null : <div className="soft small">{text.takenBack(move.takenBack)}</div>}
            </th>
            <td>
              <Amount money={move.amount} alone />
            </td>
            <td>{move.reference}</td>
            {changes ? (
              <td>
                {move.takenBack === null ? (
                  <button type="button" className="button button-small" aria-label={nameOf(move)} onClick={() => setAsked(move)}>
                    {text.takeBack}
                  </button>
                ) : null}
              </td>
            ) : null}
          </tr>
        ))}
      />
      {asked === null ? null : (
        <ConfirmWithReason
          title={nameOf(asked)} what={text.takeBackWhat} action={text.takeBack} busy={takingBack.isPending} error={takingBack.error}
          onConfirm={(reason) => takingBack.mutate({ id: asked.id, reason })} onClose={() => setAsked(null)}
        />
      )}
    </>
  );
}

function nameOf(move: CashMove): string {
  return words.cash.moves.takeBackFor(words.cash.moves.kind[move.kind], formatMoney(move.amount, locale));
}
