import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { Machine, MachineLock } from '../../api/shapes';
import { Field } from '../../parts/field';
import { errorAt } from '../../parts/form';
import { FormDialog } from '../../parts/form-dialog';
import { unless, useSending } from '../../parts/use-sending';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { keyCodesQuery } from '../queries';
import { at, today } from './day-field';
import { CodeField, OpensField, type Opens } from './fit-at-sites';
import { setUpKey } from './queries';

const text = words.keySetUp.site;
const fitText = words.keySetUp.fit;

/** One lock on one machine. */
export function FitLock({ machine, onClose }: { readonly machine: Machine; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const codes = useQuery(keyCodesQuery(api));
  const [opens, setOpens] = useState<Opens>('cash-box');
  const [keyCodeId, setCode] = useState('');
  const [since, setSince] = useState(today());
  const [ownPlace, setPlace] = useState<string | null>(null);
  const place = ownPlace ?? fitText.places[opens];
  const fields = { opens: `${id}-opens`, keyCodeId: `${id}-code`, fittedAt: `${id}-since`, place: `${id}-place`, machineId: `${id}-since` };
  const { errors, busy, submit } = useSending({ send: api.fitLock, fields, changes: [setUpKey], onDone: onClose });
  const send = () =>
    submit({ machineId: machine.id, opens, keyCodeId, place: place.trim(), ...at('fittedAt', since) }, [
      unless(keyCodeId !== '', fields.keyCodeId, fitText.codeMissing),
      unless(since !== '', fields.fittedAt, fitText.sinceMissing),
    ]);
  return (
    <FormDialog title={text.fitTitle(machine.tag)} errors={errors} busy={busy} action={fitText.action} onSubmit={send} onClose={onClose}>
      <OpensField
        id={fields.opens} opens={opens}
        onOpens={(value) => {
          setOpens(value);
          setCode('');
        }}
      />
      <CodeField id={fields.keyCodeId} opens={opens} codes={codes.data} isLoading={codes.isLoading} error={errorAt(errors, fields.keyCodeId)} value={keyCodeId} onValue={setCode} />
      <Field id={fields.fittedAt} type="date" label={fitText.since} hint={fitText.sinceHint} max={today()} error={errorAt(errors, fields.fittedAt)} value={since} onValue={setSince} />
      <Field id={fields.place} label={fitText.place} hint={fitText.placeHint} autoComplete="off" error={errorAt(errors, fields.place)} value={place} onValue={setPlace} />
    </FormDialog>
  );
}

interface OfLock {
  readonly lock: MachineLock;
  readonly onClose: () => void;
}

/** Another cut in the same place. */
export function ChangeLock({ lock, onClose }: OfLock) {
  const { api } = useOperator();
  const id = useId();
  const codes = useQuery(keyCodesQuery(api));
  const [keyCodeId, setCode] = useState('');
  const [on, setOn] = useState(today());
  const [reason, setReason] = useState('');
  const fields = { keyCodeId: `${id}-code`, changedAt: `${id}-on`, reason: `${id}-reason`, place: `${id}-on` };
  const { errors, busy, submit } = useSending({ send: api.changeLock, fields, changes: [setUpKey], onDone: onClose });
  const send = () =>
    submit({ id: lock.id, body: { keyCodeId, ...at('changedAt', on), reason } }, [
      unless(keyCodeId !== '', fields.keyCodeId, fitText.codeMissing),
      unless(on !== '', fields.changedAt, fitText.sinceMissing),
      unless(reason.trim().length >= 3, fields.reason, words.reasonMissing),
    ]);
  const others = codes.data?.filter((code) => code.id !== lock.keyCodeId);
  return (
    <FormDialog title={text.changeTitle(nameOf(lock))} lead={text.changeLead} errors={errors} busy={busy} action={text.change} onSubmit={send} onClose={onClose}>
      <CodeField id={fields.keyCodeId} opens={lock.opens} label={text.newCode} codes={others} isLoading={codes.isLoading} error={errorAt(errors, fields.keyCodeId)} value={keyCodeId} onValue={setCode} />
      <Field id={fields.changedAt} type="date" label={text.changed} max={today()} error={errorAt(errors, fields.changedAt)} value={on} onValue={setOn} />
      <Field id={fields.reason} label={words.reason} hint={words.keySetUp.reasonHint} error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
    </FormDialog>
  );
}

/** The machine has no lock there any more. */
export function RemoveLock({ lock, onClose }: OfLock) {
  const { api } = useOperator();
  const id = useId();
  const [on, setOn] = useState(today());
  const [reason, setReason] = useState('');
  const fields = { removedAt: `${id}-on`, reason: `${id}-reason` };
  const { errors, busy, submit } = useSending({ send: api.removeLock, fields, changes: [setUpKey], onDone: onClose });
  const send = () =>
    submit({ id: lock.id, body: { ...at('removedAt', on), reason } }, [
      unless(on !== '', fields.removedAt, fitText.sinceMissing),
      unless(reason.trim().length >= 3, fields.reason, words.reasonMissing),
    ]);
  return (
    <FormDialog title={text.removeTitle(nameOf(lock))} lead={text.removeLead} errors={errors} busy={busy} action={text.remove} onSubmit={send} onClose={onClose}>
      <Field id={fields.removedAt} type="date" label={text.removed} max={today()} error={errorAt(errors, fields.removedAt)} value={on} onValue={setOn} />
      <Field id={fields.reason} label={words.reason} hint={words.keySetUp.reasonHint} error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
    </FormDialog>
  );
}

const nameOf = (lock: MachineLock): string => text.lockAt({ place: words.keys.place[lock.opens], machine: lock.machineTag });
