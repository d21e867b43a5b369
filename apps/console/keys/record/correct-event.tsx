import { useId, useState } from 'react';
import type { CustodyEvent, KeyHolder } from '../../api/shapes';
import { sidesOfKind } from '#domain/keys/event-sides';
import { Field } from '../../parts/field';
import { errorAt } from '../../parts/form';
import { FormDialog } from '../../parts/form-dialog';
import { SelectField } from '../../parts/select-field';
import { unless, useSending } from '../../parts/use-sending';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { toInstant, toLocal } from '../moment';
import { lentUntil } from './correction';
import { canBeLent } from './movements';
import { HolderField, type HolderReference } from './holder-field';

const text = words.custody.correct;
const kinds = ['issued', 'returned', 'handed-over', 'reported-missing', 'found', 'seen', 'destroyed', 'made', 'duplicated'] as const;
type Kind = (typeof kinds)[number];

/** Whom a side can be; nobody where the kind has no such side. */
function holdersOf(kind: Kind | null, side: 'from' | 'to'): readonly KeyHolder['kind'][] {
  if (kind === null) return [];
  const needed = sidesOfKind[kind][side];
  if (needed === 'none') return [];
  return needed === 'store' ? ['store'] : needed === 'person-or-place' ? ['person', 'place'] : ['person', 'place', 'store'];
}

const referenceOf = (holder: KeyHolder | null): HolderReference | null => (holder === null ? null : { kind: holder.kind, id: holder.id });

interface CorrectEventProps {
  readonly event: CustodyEvent;
  readonly onClose: () => void;
}

/** Says what was so instead. What was recorded first stays in the books beside it. */
export function CorrectEvent({ event, onClose }: CorrectEventProps) {
  const { api } = useOperator();
  const id = useId();
  // What was recorded stands in every field at first: whoever puts one thing right leaves the others as they were.
  const [says, setSays] = useState<Kind | null>(event.says);
  const [from, setFrom] = useState(referenceOf(event.from));
  const [to, setTo] = useState(referenceOf(event.to));
  const [happened, setHappened] = useState(toLocal(event.happenedAt));
  const [dueBack, setDueBack] = useState(toLocal(event.dueBackAt ?? undefined));
  const [reason, setReason] = useState('');
  const fields = { dueBackAt: `${id}-due`, says: `${id}-says`, from: `${id}-from`, to: `${id}-to`, happenedAt: `${id}-at`, reason: `${id}-reason` };
  const { errors, busy, submit } = useSending({ send: api.recordKeyEvent, fields, changes: [['keys']], onDone: onClose });
  const [givers, receivers] = [holdersOf(says, 'from'), holdersOf(says, 'to')];
  const giver = from !== null && givers.includes(from.kind) ? from : null;
  const receiver = to !== null && receivers.includes(to.kind) ? to : null;
  const isMoved = happened !== toLocal(event.happenedAt);
  const send = () =>
    submit(
      {
        kind: 'corrected', correctsId: event.id, says, reason: reason.trim(),
        ...(giver === null ? {} : { from: giver }),
        ...(receiver === null ? {} : { to: receiver }),
        ...lentUntil({ says, shown: dueBack, recorded: event.dueBackAt }),
        ...(says !== null && isMoved ? { happenedAt: toInstant(happened) ?? happened } : {}),
      },
      [
        unless(givers.length === 0 || giver !== null, fields.from, text.fromMissing),
        unless(receivers.length === 0 || receiver !== null, fields.to, words.custody.toMissing),
        unless(reason.trim().length >= 3, fields.reason, words.reasonMissing),
      ],
    );
  return (
    <FormDialog title={text.title} lead={text.lead} errors={errors} busy={busy} action={text.action} onSubmit={send} onClose={onClose}>
      <SelectField
        id={fields.says} label={text.instead} error={errorAt(errors, fields.says)} value={says ?? ''} none={text.nothing}
        options={kinds.map((value) => ({ value, text: words.keys.copy.says[value] ?? value }))}
        onValue={(value) => setSays(kinds.find((each) => each === value) ?? null)}
      />
      {givers.length === 0 ? null : <HolderField id={fields.from} label={text.from} error={errorAt(errors, fields.from)} kinds={givers} value={giver} onValue={setFrom} />}
      {receivers.length === 0 ? null : <HolderField id={fields.to} label={words.custody.toAnybody} error={errorAt(errors, fields.to)} kinds={receivers} value={receiver} onValue={setTo} />}
      {says === null ? null : <Field id={fields.happenedAt} type="datetime-local" label={words.custody.happened} error={errorAt(errors, fields.happenedAt)} value={happened} onValue={setHappened} />}
      {says === null || !canBeLent(says) ? null : (
        <Field id={fields.dueBackAt} type="datetime-local" label={words.custody.dueBack} hint={words.custody.dueBackHint} error={errorAt(errors, fields.dueBackAt)} value={dueBack} onValue={setDueBack} />
      )}
      <Field id={fields.reason} label={words.reason} autoComplete="off" error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
    </FormDialog>
  );
}
