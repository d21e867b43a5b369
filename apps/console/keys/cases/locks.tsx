import { useId, useRef, useState } from 'react';
import { flushSync } from 'react-dom';
import { Link } from 'react-router';
import type { KeyCase } from '../../api/shapes';
import { formatMoney } from '../../format/money';
import { locale } from '../../format/locale';
import { Field } from '../../parts/field';
import { errorAt } from '../../parts/form';
import { FormDialog } from '../../parts/form-dialog';
import { focusOn } from '../../parts/move-focus';
import { TitledTable } from '../../parts/titled-table';
import { unless, useSending } from '../../parts/use-sending';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { toInstant } from '../moment';
import { Moment } from '../parts';
import styles from '../keys.module.css';

const text = words.keyCases.locks;

/** As many as one records one by one; more would put what follows out of sight on a phone, and are recorded by site in one go. */
const firstShown = 5;

type Lock = KeyCase['locks'][number];
type Step = keyof typeof text.do;
type Doing = { readonly lock: Lock; readonly step: Step };

/** Each lock that takes the old key with its deadline, the richest first, and what can be recorded of it; those that are done, below. */
export function Locks({ lost }: { readonly lost: KeyCase }) {
  const { may, to } = useOperator();
  const [doing, setDoing] = useState<Doing | null>(null);
  const [isWhole, setWhole] = useState(false);
  const list = useRef<HTMLUListElement>(null);
  const mayConfirm = lost.closed === null && may('key-case.confirm');
  const left = lost.locks.filter(({ state }) => state !== 'changed');
  const done = lost.locks.filter(({ state }) => state === 'changed');
  const shown = isWhole ? left : left.slice(0, firstShown);
  const showAll = () => {
    flushSync(() => setWhole(true));
    focusOn(list.current?.children[firstShown]?.querySelector('h3'));
  };
  return (
    <>
      {left.length === 0 && done.length > 0 ? null : (
        <section className="section" aria-labelledby="locks">
          <h2 id="locks" tabIndex={-1}>{text.title}</h2>
          {left.length === 0 ? <p>{text.none}</p> : null}
          {mayConfirm && left.some(({ opens, state }) => opens !== 'play-area' && state === 'open') ? <p className="soft">{text.meanwhile}</p> : null}
          {mayConfirm && lost.newCode !== null && left.length > firstShown && may('machine-lock.fit') ? <p><Link to={to(`keys/sites?find=${encodeURIComponent(lost.keyCode.code)}`)}>{text.bySite}</Link></p> : null}
          <ul ref={list}>
            {shown.map((lock) => (
              <LeftLock key={lock.lockId} lock={lock} steps={mayConfirm ? stepsFor(lost, lock) : []} onStep={(step) => setDoing({ lock, step })} />
            ))}
          </ul>
          {shown.length === left.length ? null : (
            <div>
              <button type="button" className="button" onClick={showAll}>
                {text.all(left.length)}
              </button>
            </div>
          )}
        </section>
      )}
      {done.length === 0 ? null : (
        <TitledTable id="locks-done" title={text.doneTitle} none={text.none} folded={text.doneOf(done.length, lost.locks.length)} columns={[words.machine, words.site, words.keys.lock, words.state]} rows={done.map((lock) => <DoneLock key={lock.lockId} lock={lock} />)} />
      )}
      {doing === null ? null : <RecordStep key={`${doing.lock.lockId} ${doing.step}`} caseId={lost.id} doing={doing} onClose={() => setDoing(null)} />}
    </>
  );
}

/** What can be recorded of it now; a box is secured only where the lock reaches money. */
function stepsFor(lost: KeyCase, lock: Lock): readonly Step[] {
  const securing: readonly Step[] = lock.opens === 'play-area' || lock.state === 'secured' ? [] : ['box-emptied', 'second-lock'];
  return [...(lost.newCode === null ? [] : (['lock-changed'] as const)), ...securing, 'lock-removed'];
}

function Place({ siteName, siteCode }: Pick<Lock, 'siteName' | 'siteCode'>) {
  return siteName === null ? <span className="soft">{words.keys.noSite}</span> : <>{siteName} <span className="code small">{siteCode}</span></>;
}

interface LeftLockProps {
  readonly lock: Lock;
  readonly steps: readonly Step[];
  readonly onStep: (step: Step) => void;
}

function LeftLock({ lock, steps, onStep }: LeftLockProps) {
  const { machineTag, opens, cash, dueAt, overdue, state } = lock;
  return (
    <li className={styles.held}>
      <h3>
        {machineTag} <span className="soft"><Place {...lock} /></span>
      </h3>
      <p className="soft">
        {words.keys.lock}: {words.keys.place[opens]}. {text.state[state]}. {cash === null ? null : text.holds(formatMoney(cash, locale))}
      </p>
      <p className={overdue ? 'state state-alarm' : 'soft'}>
        {overdue ? text.late : text.due} <Moment instant={dueAt} />
      </p>
      {steps.length === 0 ? null : (
        <div className="row">
          {steps.map((step) => (
            <button key={step} type="button" className={step === 'lock-changed' ? 'button button-small' : 'button-plain'} onClick={() => onStep(step)}>
              {text.do[step]}
              <span className="visually-hidden">{` ${machineTag}`}</span>
            </button>
          ))}
        </div>
      )}
    </li>
  );
}

function DoneLock({ lock }: { readonly lock: Lock }) {
  return (
    <tr>
      <th scope="row">{lock.machineTag}</th>
      <td>
        <Place {...lock} />
      </td>
      <td>{words.keys.place[lock.opens]}</td>
      <td>
        {text.state[lock.state]} {lock.changedAt === null ? null : <Moment instant={lock.changedAt} />} {lock.overdue ? <span className="state state-alarm">{text.tooLate}</span> : null}
      </td>
    </tr>
  );
}

interface RecordStepProps {
  readonly caseId: string;
  readonly doing: Doing;
  readonly onClose: () => void;
}

function RecordStep({ caseId, doing: { lock, step }, onClose }: RecordStepProps) {
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
    <FormDialog title={text.title2[step](lock.machineTag)} lead={lock.siteName ?? undefined} errors={errors} busy={busy} action={text.record[step]} onSubmit={send} onClose={onClose}>
      <Field id={fields.note} label={text.done} autoComplete="off" error={errorAt(errors, fields.note)} value={note} onValue={setNote} />
      <Field id={fields.happenedAt} type="datetime-local" label={words.custody.happened} hint={words.keys.atHint} error={errorAt(errors, fields.happenedAt)} value={happened} onValue={setHappened} />
    </FormDialog>
  );
}
