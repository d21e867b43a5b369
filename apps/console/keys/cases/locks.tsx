import { useId, useState } from 'react';
import type { KeyCase } from '../../api/shapes';
import { Amount } from '../../parts/amount';
import { Field } from '../../parts/field';
import { errorAt } from '../../parts/form';
import { FormDialog } from '../../parts/form-dialog';
import { unless, useSending } from '../../parts/use-sending';
import { Wide } from '../../parts/wide';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { toInstant } from '../moment';
import { Moment } from '../parts';

const text = words.keyCases.locks;

type Lock = KeyCase['locks'][number];
type Step = keyof typeof text.do;
type Doing = { readonly lock: Lock; readonly step: Step };

/** Each lock with its deadline, the richest first, and what can be confirmed of it. */
export function Locks({ lost }: { readonly lost: KeyCase }) {
  const { may } = useOperator();
  const [doing, setDoing] = useState<Doing | null>(null);
  const mayConfirm = lost.closed === null && may('key-case.confirm');
  return (
    <section className="section" aria-labelledby="locks">
      <h2 id="locks">{text.title}</h2>
      {lost.locks.length === 0 ? <p>{text.none}</p> : (
        <Wide title={text.title}>
          <table>
            <caption className="visually-hidden">{text.title}</caption>
            <thead>
              <tr>
                <th scope="col">{words.machine}</th>
                <th scope="col">{words.site}</th>
                <th scope="col">{words.keys.lock}</th>
                {reachesMoney(lost) ? <th scope="col" className="figure">{text.cash}</th> : null}
                <th scope="col">{text.due}</th>
                <th scope="col">{words.state}</th>
                {mayConfirm ? <th scope="col">{words.commands}</th> : null}
              </tr>
            </thead>
            <tbody>
              {lost.locks.map((lock) => (
                <LockRow key={lock.lockId} lock={lock} showsCash={reachesMoney(lost)} steps={mayConfirm ? stepsFor(lost, lock) : null} onStep={(step) => setDoing({ lock, step })} />
              ))}
            </tbody>
          </table>
        </Wide>
      )}
      {doing === null ? null : <ConfirmStep key={`${doing.lock.lockId} ${doing.step}`} caseId={lost.id} doing={doing} onClose={() => setDoing(null)} />}
    </section>
  );
}

/** A column of empty cells would ask what is missing in it. */
const reachesMoney = ({ locks }: KeyCase): boolean => locks.some(({ opens }) => opens !== 'play-area');

/** What can be confirmed of it now; a box is secured only where the lock reaches money. */
function stepsFor(lost: KeyCase, lock: Lock): readonly Step[] {
  if (lock.state === 'changed') return [];
  const securing: readonly Step[] = lock.opens === 'play-area' || lock.state === 'secured' ? [] : ['box-emptied', 'second-lock'];
  return [...(lost.newCode === null ? [] : (['lock-changed'] as const)), ...securing, 'lock-removed'];
}

interface LockRowProps {
  readonly lock: Lock;
  readonly showsCash: boolean;
  readonly steps: readonly Step[] | null;
  readonly onStep: (step: Step) => void;
}

function LockRow({ lock, showsCash, steps, onStep }: LockRowProps) {
  const { machineTag, siteName, siteCode, opens, cash, dueAt, overdue, state, changedAt } = lock;
  return (
    <tr>
      <th scope="row">{machineTag}</th>
      <td>{siteName === null ? <span className="soft">{words.keys.noSite}</span> : <>{siteName} <span className="code small">{siteCode}</span></>}</td>
      <td>{words.keys.place[opens]}</td>
      {showsCash ? <td className="figure">{cash === null ? null : <Amount money={cash} alone />}</td> : null}
      <td>
        <Moment instant={dueAt} /> {overdue ? <span className="state state-alarm">{text.late}</span> : null}
      </td>
      <td>
        {text.state[state]} {changedAt === null ? null : <div className="soft small"><Moment instant={changedAt} /></div>}
      </td>
      {steps === null ? null : (
        <td>
          <div className="row">
            {steps.map((step) => (
              <button key={step} type="button" className={step === 'lock-changed' ? 'button button-small' : 'button-plain'} onClick={() => onStep(step)}>
                {text.do[step]}
                <span className="visually-hidden">{` ${machineTag}`}</span>
              </button>
            ))}
          </div>
        </td>
      )}
    </tr>
  );
}

interface ConfirmStepProps {
  readonly caseId: string;
  readonly doing: Doing;
  readonly onClose: () => void;
}

function ConfirmStep({ caseId, doing: { lock, step }, onClose }: ConfirmStepProps) {
  const { api } = useOperator();
  const id = useId();
  const [note, setNote] = useState<string>(text.note[step]);
  const [happened, setHappened] = useState('');
  const fields = { note: `${id}-note`, happenedAt: `${id}-at`, lockId: `${id}-note`, kind: `${id}-note` };
  const { errors, busy, submit } = useSending({ send: api.confirmKeyCaseStep, fields, changes: [['keys']], onDone: onClose });
  const send = () =>
    submit({ id: caseId, body: { kind: step, lockId: lock.lockId, note: note.trim(), ...(happened === '' ? {} : { happenedAt: toInstant(happened) ?? happened }) } }, [
      unless(note.trim().length >= 3, fields.note, words.reasonMissing),
    ]);
  return (
    <FormDialog title={text.title2[step](lock.machineTag)} lead={lock.siteName ?? undefined} errors={errors} busy={busy} action={text.confirm} onSubmit={send} onClose={onClose}>
      <Field id={fields.note} label={text.done} autoComplete="off" error={errorAt(errors, fields.note)} value={note} onValue={setNote} />
      <Field id={fields.happenedAt} type="datetime-local" label={words.custody.happened} hint={words.keys.atHint} error={errorAt(errors, fields.happenedAt)} value={happened} onValue={setHappened} />
    </FormDialog>
  );
}
