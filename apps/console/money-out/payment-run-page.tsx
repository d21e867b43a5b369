import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link, useParams } from 'react-router';
import type { PaymentRun } from '../api/shapes';
import { formatCount } from '../format/count';
import { dayOf, formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { Page } from '../parts/page';
import { saveFile } from '../parts/save-file';
import { TitledTable } from '../parts/titled-table';
import { TroubleNotice } from '../parts/trouble';
import { useMutation } from '../parts/use-mutation';
import { unless, useSending } from '../parts/use-sending';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { moneyOut, paymentRunQuery } from './queries';
import { StatementNumbers } from './statement-numbers';
import { RecordRun } from './record-run';
import styles from './money-out.module.css';

const text = words.moneyOut.run;

/** `payment-runs/:id`: what a run pays, its sums, its file, and each step to the books. */
export function PaymentRunPage() {
  const { runId = '' } = useParams();
  const { api, may } = useOperator();
  const allowed = may('payment-run.read');
  const question = useQuery({ ...paymentRunQuery(api, runId), enabled: allowed });
  if (!allowed) return <Denied title={words.moneyOut.title} />;
  const run = question.data;
  return (
    <Page
      title={run === undefined ? words.moneyOut.title : words.moneyOut.runs.run(formatDay(run.executeOn, locale))}
      lead={run === undefined ? undefined : text.lead(words.moneyOut.state[run.state])}
      actions={run === undefined ? undefined : <Steps run={run} />}
    >
      <Answer question={question} lines={8}>
        {(found) => (
          <>
            <Sums run={found} />
            <Transfers run={found} />
            <History run={found} />
          </>
        )}
      </Answer>
    </Page>
  );
}

type Asked = 'send' | 'record' | 'cancel';

function Steps({ run }: { readonly run: PaymentRun }) {
  const { api, may } = useOperator();
  const client = useQueryClient();
  const [asked, setAsked] = useState<Asked | null>(null);
  const close = () => setAsked(null);
  const making = useMutation({ mutationFn: (_asked: void, key) => api.makeRunFile(run.id, key), onSuccess: () => client.invalidateQueries({ queryKey: moneyOut }) });
  const saving = useMutation({
    mutationFn: () => api.runFile(run.id),
    onSuccess: async ({ blob, fileName }) => {
      saveFile(blob, fileName);
      await client.invalidateQueries({ queryKey: moneyOut });
    },
  });
  const isCancellable = run.state === 'draft' || run.state === 'file-made' || run.state === 'sent';
  return (
    <div className="stack">
      <div className="row">
        {run.state === 'draft' && may('payment-run.make') ? <Step text={text.makeFile} isMain busy={making.isPending} onStep={() => making.mutate()} /> : null}
        {run.fileSha256 !== null && run.state !== 'cancelled' && may('payment-run.download') ? <Step text={text.download} busy={saving.isPending} onStep={() => saving.mutate()} /> : null}
        {run.state === 'file-made' && may('payment-run.confirm') ? <Step text={text.send} isMain onStep={() => setAsked('send')} /> : null}
        {run.state === 'sent' && may('payment-run.confirm') ? <Step text={text.record} isMain onStep={() => setAsked('record')} /> : null}
        {isCancellable && may('payment-run.make') ? <Step text={run.state === 'sent' ? text.refuse : text.cancel} onStep={() => setAsked('cancel')} /> : null}
      </div>
      {making.isError ? <TroubleNotice error={making.error} /> : null}
      {saving.isError ? <TroubleNotice error={saving.error} /> : null}
      {asked === 'send' ? <Send run={run} onClose={close} /> : null}
      {asked === 'record' ? <RecordRun run={run} onClose={close} /> : null}
      {asked === 'cancel' ? <Cancel run={run} onClose={close} /> : null}
    </div>
  );
}

function Step(step: { readonly text: string; readonly isMain?: boolean; readonly busy?: boolean; readonly onStep: () => void }) {
  const busy = step.busy === true;
  return (
    <button type="button" className={step.isMain === true ? 'button button-main' : 'button'} aria-disabled={busy} onClick={() => (busy ? undefined : step.onStep())}>
      {busy ? words.working : step.text}
    </button>
  );
}

function Send({ run, onClose }: { readonly run: PaymentRun; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const [sentOn, setSentOn] = useState(() => dayOf(new Date()));
  const { errors, busy, submit } = useSending({ send: api.sendRun, fields: { sentOn: id }, changes: [moneyOut, ['sites']], onDone: onClose });
  return (
    <FormDialog title={text.send} lead={text.sendWhat} errors={errors} busy={busy} action={text.send} onSubmit={() => submit({ id: run.id, sentOn }, [unless(sentOn !== '', id, words.booking.dayMissing)])} onClose={onClose}>
      <Field id={id} type="date" label={text.sentOn} error={errorAt(errors, id)} value={sentOn} onValue={setSentOn} />
    </FormDialog>
  );
}

function Cancel({ run, onClose }: { readonly run: PaymentRun; readonly onClose: () => void }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const isRefused = run.state === 'sent';
  const title = isRefused ? text.refuse : text.cancel;
  const what = isRefused ? text.refuseWhat : run.history.some(({ kind }) => kind === 'downloaded') ? text.cancelDownloadedWhat : text.cancelWhat;
  const cancelling = useMutation({
    mutationFn: (reason: string, key) => api.cancelRun({ id: run.id, reason, refusedByBank: isRefused }, key),
    onSuccess: async () => {
      await client.invalidateQueries({ queryKey: moneyOut });
      onClose();
    },
  });
  return <ConfirmWithReason title={title} what={what} action={title} busy={cancelling.isPending} error={cancelling.error} onConfirm={(reason) => cancelling.mutate(reason)} onClose={onClose} />;
}

function Sums({ run }: { readonly run: PaymentRun }) {
  const figures: readonly (readonly [string, string])[] = [
    [text.formatLabel, text.format[run.format]],
    [text.transfers, formatCount(run.transferCount, locale)],
    [text.sum, formatMoney(run.sum, locale)],
    ...(run.entryHash === null ? [] : [[text.entryHash, run.entryHash] as const]),
    ...(run.fileSha256 === null ? [] : [[text.sha256, run.fileSha256] as const]),
  ];
  return (
    <>
      <TitledTable
        id="sums" title={text.sums} none="" columns={[text.what, text.sum]}
        rows={figures.map(([label, value]) => (
          <tr key={label}>
            <th scope="row">{label}</th>
            <td className={styles.sum}>{value}</td>
          </tr>
        ))}
      />
      <p className="soft">{text.sumsLead}</p>
    </>
  );
}

function Transfers({ run }: { readonly run: PaymentRun }) {
  const { may, to } = useOperator();
  const { due, account } = words.moneyOut;
  return (
    <TitledTable
      id="transfers" title={text.transfers} none="" columns={[words.site, due.pays, due.payee, due.to, due.statements]} figures={[due.pays]}
      rows={run.transfers.map((transfer) => (
        <tr key={transfer.id}>
          <th scope="row">{may('site-account.read') ? <Link to={to(`sites/${transfer.siteId}/account`)}>{transfer.siteName}</Link> : transfer.siteName}</th>
          <td className="figure">
            <Amount money={transfer.amount} alone />
          </td>
          <td>{transfer.partyName}</td>
          <td>
            {account(transfer.account)}
            {transfer.refusedBecause === null ? null : <div className="small">{text.refusedTransfer(text.because[transfer.refusedBecause])}</div>}
            {transfer.released ? <div className="soft small">{text.released}</div> : null}
          </td>
          <td>
            <StatementNumbers settlements={transfer.settlements} />
          </td>
        </tr>
      ))}
    />
  );
}

function History({ run }: { readonly run: PaymentRun }) {
  const nameOf = useActorName();
  return (
    <TitledTable
      id="history" title={text.history} none="" columns={[text.what, text.when, words.machines.changes.who, words.reason]}
      rows={run.history.map((event) => (
        <tr key={event.kind}>
          <th scope="row">{text.kind[event.kind]}</th>
          <td>{event.on === null ? formatInstant(event.happenedAt, locale) : formatDay(event.on, locale)}</td>
          <td>{nameOf(event.happenedBy)}</td>
          <td>{event.reason}</td>
        </tr>
      ))}
    />
  );
}
