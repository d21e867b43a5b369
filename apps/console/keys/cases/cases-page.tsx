import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link, useNavigate } from 'react-router';
import type { KeyCaseSummary } from '../../api/shapes';
import { Answer, Blank } from '../../parts/answer';
import { Denied } from '../../parts/denied';
import { Field } from '../../parts/field';
import { errorAt } from '../../parts/form';
import { FormDialog } from '../../parts/form-dialog';
import { Page } from '../../parts/page';
import { SelectField } from '../../parts/select-field';
import { unless, useSending } from '../../parts/use-sending';
import { Wide } from '../../parts/wide';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { toInstant } from '../moment';
import { Code, KeyViews, Moment } from '../parts';
import { keyCodesQuery } from '../queries';
import { casesQuery } from './queries';

const text = words.keyCases;

/** `keys/cases`: lost keys, those that are not done first. */
export function KeyCasesPage() {
  const { api, may } = useOperator();
  const [isOpening, setOpening] = useState(false);
  const allowed = may('key-case.read');
  const question = useQuery({ ...casesQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={text.view} />;
  return (
    <Page title={text.view} lead={text.lead} actions={<KeyViews />}>
      <Answer question={question} lines={6}>
        {(cases) =>
          cases.length === 0 ? (
            <Blank title={text.none}>
              <p>{text.noneWhat}</p>
            </Blank>
          ) : (
            <Cases cases={[...cases].sort((one, other) => Number(one.closed !== null) - Number(other.closed !== null))} />
          )
        }
      </Answer>
      {may('key-case.open') ? (
        <div>
          <button type="button" className="button" onClick={() => setOpening(true)}>
            {text.open}
          </button>
        </div>
      ) : null}
      {isOpening ? <OpenCase onClose={() => setOpening(false)} /> : null}
    </Page>
  );
}

function Cases({ cases }: { readonly cases: readonly KeyCaseSummary[] }) {
  const { to } = useOperator();
  return (
    <Wide title={text.view}>
      <table>
        <caption className="visually-hidden">{text.view}</caption>
        <thead>
          <tr>
            <th scope="col">{text.what}</th>
            <th scope="col">{words.keys.code}</th>
            <th scope="col">{text.noticed}</th>
            <th scope="col">{words.state}</th>
            <th scope="col" className="figure">
              {text.progress}
            </th>
            <th scope="col">{text.next}</th>
          </tr>
        </thead>
        <tbody>
          {cases.map(({ id, keyCode, cause, lostCopies, happenedAt, state, progress }) => (
            <tr key={id}>
              <th scope="row">
                <Link to={to(`keys/cases/${id}`)}>{cause === 'lost' ? text.lost(lostCopies.map(({ number }) => number).join(', ')) : text.compromised}</Link>
              </th>
              <td>
                <Code code={keyCode.code} kind={keyCode.class} />
              </td>
              <td>
                <Moment instant={happenedAt} />
              </td>
              <td>{text.state[state]}</td>
              <td className="figure">{text.of(progress.changed, progress.locks)}</td>
              <td>
                {progress.nextDueAt === null ? null : <Moment instant={progress.nextDueAt} />} {progress.overdue === 0 ? null : <span className="state state-alarm">{text.overdue(progress.overdue)}</span>}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

function OpenCase({ onClose }: { readonly onClose: () => void }) {
  const { api, to } = useOperator();
  const navigate = useNavigate();
  const id = useId();
  const codes = useQuery(keyCodesQuery(api));
  const [keyCodeId, setCode] = useState('');
  const [held, setHeld] = useState('');
  const [reason, setReason] = useState('');
  const fields = { keyCodeId: `${id}-code`, surelyHeldUntil: `${id}-held`, reason: `${id}-reason` };
  const { errors, busy, submit } = useSending({ send: api.openKeyCase, fields, changes: [['keys']], onDone: (opened) => void navigate(to(`keys/cases/${opened.id}`)) });
  const send = () =>
    submit({ keyCodeId, surelyHeldUntil: toInstant(held) ?? held, reason: reason.trim() }, [
      unless(keyCodeId !== '', fields.keyCodeId, text.cutMissing),
      unless(toInstant(held) !== undefined, fields.surelyHeldUntil, text.heldMissing),
      unless(reason.trim().length >= 3, fields.reason, words.reasonMissing),
    ]);
  return (
    <FormDialog title={text.openTitle} lead={text.openLead} errors={errors} busy={busy} action={text.openAction} onSubmit={send} onClose={onClose}>
      <SelectField
        id={fields.keyCodeId} label={text.cut} error={errorAt(errors, fields.keyCodeId)} value={keyCodeId} none={words.keys.holdings.choose} isLoading={codes.isLoading} onValue={setCode}
        options={(codes.data ?? []).map((code) => ({ value: code.id, text: `${code.code} (${words.keys.class[code.class]})` }))}
      />
      <Field id={fields.surelyHeldUntil} type="datetime-local" label={text.held} error={errorAt(errors, fields.surelyHeldUntil)} value={held} onValue={setHeld} />
      <Field id={fields.reason} label={words.reason} autoComplete="off" error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
    </FormDialog>
  );
}
