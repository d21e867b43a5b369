import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-router';
import type { KeyCase, KeyHolder } from '../../api/shapes';
import { ConfirmWithReason } from '../../parts/confirm-with-reason';
import { TitledTable } from '../../parts/titled-table';
import { TroubleNotice } from '../../parts/trouble';
import { useMutation } from '../../parts/use-mutation';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { CopyLink, Holder, Whereabouts } from '../parts';
import { RecordButton } from '../record/record-button';

const text = words.keyCases;

const isConfirmed = ({ steps }: KeyCase, of: { readonly kind: 'copy-given' | 'copy-called-in'; readonly copyId: string }): boolean => steps.some(({ kind, keyCopyId }) => kind === of.kind && keyCopyId === of.copyId);

/** People are given a key on their own page, a named place where the keys of its site are set up. */
function GiveTo({ holder }: { readonly holder: KeyHolder }) {
  const { to } = useOperator();
  if (holder.kind === 'person') return <Link to={to(`keys/people/${holder.id}`)}>{text.give.give}</Link>;
  return holder.siteId === null ? null : <Link to={to(`keys/sites/${holder.siteId}`)}>{text.give.give}</Link>;
}

/** Whoever had a key of the old cut, and whether they have one of the new. */
export function CopiesToGive({ lost }: { readonly lost: KeyCase }) {
  const { may } = useOperator();
  const rows = lost.copiesToGive.map(({ holder, given }) => (
    <tr key={holder.id}>
      <th scope="row">
        <Holder holder={holder} />
      </th>
      <td>{given === null ? <span className="soft">{text.give.hasNone}</span> : <>{text.give.has('')}<CopyLink id={given.keyCopyId} number={given.number} /></>}</td>
      <td>
        {given === null && lost.closed === null && may('custody-event.record') ? <GiveTo holder={holder} /> : null}
        {given === null ? null : <ConfirmCopy lost={lost} kind="copy-given" copyId={given.keyCopyId} number={given.number} />}
      </td>
    </tr>
  ));
  const without = lost.copiesToGive.filter(({ given }) => given === null).length;
  return <TitledTable id="give" title={text.give.title} none={text.give.none} folded={text.give.folded(without, lost.copiesToGive.length)} columns={[text.give.holder, text.newCut.title, words.commands]} rows={rows} />;
}

/** Other copies of the old cut, until they are back or destroyed. */
export function CopiesToCallIn({ lost }: { readonly lost: KeyCase }) {
  const rows = lost.copiesToCallIn.map(({ keyCopyId, number, where, calledIn, leftOut }) => (
    <tr key={keyCopyId}>
      <th scope="row">
        <CopyLink id={keyCopyId} number={number} />
      </th>
      <td>{where === null ? text.callIn.destroyed : <Whereabouts where={where} />}</td>
      <td>{calledIn ? text.callIn.back : <strong>{text.callIn.out}</strong>} {leftOut ? <span className="soft small">{text.callIn.explained}</span> : null}</td>
      <td>
        {calledIn ? <ConfirmCopy lost={lost} kind="copy-called-in" copyId={keyCopyId} number={number} /> : null}
        {!calledIn && where !== null && lost.closed === null ? (
          <RecordButton copy={{ keyCopyId, number, class: lost.keyCode.class, where }} movements={where.state === 'missing' ? ['found', 'destroyed'] : ['returned', 'destroyed', 'reported-missing']} reason={text.callIn.note} />
        ) : null}
        {!calledIn && !leftOut && where?.state === 'held' ? <LeaveOut lost={lost} copyId={keyCopyId} number={number} /> : null}
      </td>
    </tr>
  ));
  const out = lost.copiesToCallIn.filter(({ calledIn }) => !calledIn).length;
  return <TitledTable id="call-in" title={text.callIn.title} none={text.callIn.none} folded={text.callIn.folded(out, lost.copiesToCallIn.length)} columns={[words.keys.number, text.callIn.where, words.state, words.commands]} rows={rows} />;
}

/** An old key that stays where it is, with the reason: without a word for it the case is not closed. */
function LeaveOut({ lost, copyId, number }: Omit<ConfirmCopyProps, 'kind'>) {
  const { api, may } = useOperator();
  const client = useQueryClient();
  const [isAsked, setAsked] = useState(false);
  const leaving = useMutation({
    mutationFn: api.confirmKeyCaseStep,
    onSuccess: async () => {
      setAsked(false);
      await client.invalidateQueries({ queryKey: ['keys'] });
    },
  });
  if (lost.closed !== null || !may('key-case.confirm')) return null;
  return (
    <>
      <button type="button" className="button-plain" onClick={() => setAsked(true)}>
        {text.callIn.leave}
        <span className="visually-hidden">{` ${number}`}</span>
      </button>
      {isAsked ? (
        <ConfirmWithReason
          title={text.callIn.leaveTitle(number)} what={text.callIn.leaveWhat} action={text.callIn.leave} busy={leaving.isPending} error={leaving.error}
          onConfirm={(note) => leaving.mutate({ id: lost.id, body: { kind: 'copy-left-out', keyCopyId: copyId, note } })}
          onClose={() => {
            leaving.reset();
            setAsked(false);
          }}
        />
      ) : null}
    </>
  );
}

interface ConfirmCopyProps {
  readonly lost: KeyCase;
  readonly kind: 'copy-given' | 'copy-called-in';
  readonly copyId: string;
  readonly number: string;
}

function ConfirmCopy({ lost, kind, copyId, number }: ConfirmCopyProps) {
  const { api, may } = useOperator();
  const client = useQueryClient();
  const confirming = useMutation({ mutationFn: api.confirmKeyCaseStep, onSuccess: () => client.invalidateQueries({ queryKey: ['keys'] }) });
  if (isConfirmed(lost, { kind, copyId })) return <span className="soft">{text.give.confirmed}</span>;
  if (lost.closed !== null || !may('key-case.confirm')) return null;
  const { note, confirm } = kind === 'copy-given' ? text.give : text.callIn;
  return (
    <>
      <button
        type="button" className="button button-small" aria-disabled={confirming.isPending}
        onClick={() => (confirming.isPending ? undefined : confirming.mutate({ id: lost.id, body: { kind, keyCopyId: copyId, note } }))}
      >
        {confirm}
        <span className="visually-hidden">{` ${number}`}</span>
      </button>
      {confirming.isError ? <TroubleNotice error={confirming.error} /> : null}
    </>
  );
}
