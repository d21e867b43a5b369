import { useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { CustodyEvent, KeyHolding } from '../../api/shapes';
import { errorAt } from '../../parts/form';
import { FormDialog } from '../../parts/form-dialog';
import { Field } from '../../parts/field';
import { SelectField } from '../../parts/select-field';
import { unless, useSending } from '../../parts/use-sending';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { toInstant } from '../moment';
import { isConfirmed } from './confirmed';
import { HolderField, type HolderReference } from './holder-field';
import { canBeLent, hasGiver, receiversOf, type Movement } from './movements';

const text = words.custody;

/** A copy, and where it is. */
export type CopyAt = Pick<KeyHolding, 'keyCopyId' | 'number' | 'class' | 'where'>;

interface RecordEventProps {
  readonly copy: CopyAt;
  /** What may be recorded, the most usual first; with one there is nothing to choose. */
  readonly movements: readonly Movement[];
  readonly to?: HolderReference;
  /** What stands in the field at first. */
  readonly reason?: string;
  /** How the form says the only movement, where that is another way than the office's: who brings a key back does not take it back. */
  readonly said?: { readonly title: string; readonly action: string };
  readonly onRecorded: (event: CustodyEvent) => void;
  readonly onClose: () => void;
}

/** Records what happened to a copy. Whoever has it gives it; nobody has to say so. Where somebody has to confirm it, `onRecorded` goes on with that. */
export function RecordEvent({ copy, movements, to: fixed, reason: ready = '', said, onRecorded, onClose }: RecordEventProps) {
  const { api } = useOperator();
  const client = useQueryClient();
  const id = useId();
  const [movement, setMovement] = useState(movements[0] ?? 'seen');
  const [to, setTo] = useState<HolderReference | null>(fixed ?? null);
  const [dueBack, setDueBack] = useState('');
  const [happened, setHappened] = useState('');
  const [reason, setReason] = useState(ready);
  const kinds = receiversOf(movement, copy.where);
  const receiver = to !== null && kinds.includes(to.kind) ? to : null;
  const fields = { kind: `${id}-kind`, to: `${id}-to`, dueBackAt: `${id}-due`, happenedAt: `${id}-at`, reason: `${id}-reason` };
  const only = movements.length === 1 ? movements[0] : undefined;
  // What is about the movement leads to the choice of it, where there is one.
  const told = only === undefined ? { ...fields, keyCopyIds: fields.kind, from: fields.kind } : { to: fields.to, dueBackAt: fields.dueBackAt, happenedAt: fields.happenedAt, reason: fields.reason };
  const { errors, busy, submit } = useSending({
    send: api.recordKeyEvent, fields: told, changes: [],
    onDone: (event) => {
      onRecorded(event);
      // What is still to be confirmed is asked for now, from where the key was; that place goes when the answers come anew.
      if (isConfirmed(event)) void client.invalidateQueries({ queryKey: ['keys'] });
    },
  });
  const giver = hasGiver(movement) ? copy.where.holder : null;
  const isLent = canBeLent(movement) && dueBack !== '';
  const send = () =>
    submit(
      {
        kind: movement,
        keyCopyIds: [copy.keyCopyId],
        ...(giver === null ? {} : { from: { kind: giver.kind, id: giver.id } }),
        ...(receiver === null ? {} : { to: receiver }),
        ...(isLent ? { dueBackAt: toInstant(dueBack) ?? null } : {}),
        ...(happened === '' ? {} : { happenedAt: toInstant(happened) ?? happened }),
        reason: reason.trim(),
      },
      [unless(kinds.length === 0 || receiver !== null, fields.to, text.toMissing), unless(reason.trim().length >= 3, fields.reason, words.reasonMissing)],
    );
  return (
    <FormDialog title={said?.title ?? (only === undefined ? text.recordTitle(copy.number) : text.doTitle[only](copy.number))} lead={leadOf(copy)} errors={errors} busy={busy} action={said?.action ?? text.do[movement]} onSubmit={send} onClose={onClose}>
      {only === undefined ? (
        <SelectField
          id={fields.kind} label={text.what} error={errorAt(errors, fields.kind)} value={movement} options={movements.map((value) => ({ value, text: text.do[value] }))}
          onValue={(value) => {
            setMovement(movements.find((each) => each === value) ?? movement);
            // Who may have it by one movement may not by another, and would be sent unseen.
            setTo(fixed ?? null);
          }}
        />
      ) : null}
      {movement === 'reported-missing' ? <p>{text.missingWhat[copy.class]}</p> : null}
      {kinds.length === 0 || fixed !== undefined ? null : (
        <HolderField
          id={fields.to} label={text.to[movement] ?? text.toAnybody} error={errorAt(errors, fields.to)} kinds={kinds} value={receiver} onValue={setTo}
          without={movement === 'seen' ? undefined : copy.where.holder?.id}
          cashBox={copy.class === 'cash-box' && (movement === 'issued' || movement === 'handed-over') ? { movement, at: new Date(toInstant(happened) ?? Date.now()) } : undefined}
        />
      )}
      {canBeLent(movement) && !kinds.includes('store') ? (
        <Field id={fields.dueBackAt} type="datetime-local" label={text.dueBack} hint={text.dueBackHint} error={errorAt(errors, fields.dueBackAt)} value={dueBack} onValue={setDueBack} />
      ) : null}
      <Field id={fields.happenedAt} type="datetime-local" label={text.happened} hint={words.keys.atHint} error={errorAt(errors, fields.happenedAt)} value={happened} onValue={setHappened} />
      <Field id={fields.reason} label={words.reason} autoComplete="off" error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
    </FormDialog>
  );
}

function leadOf({ class: kind, where }: CopyAt): string {
  const at = where.holder === null ? words.keys.state[where.state === 'destroyed' ? 'destroyed' : 'missing'] : text.nowWith(where.holder.name);
  return text.lead(words.keys.class[kind], at);
}
