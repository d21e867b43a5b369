import { useRef, useState } from 'react';
import type { ToCount } from '../api/collections-api';
import { Field } from '../parts/field';
import { errorAt, Form } from '../parts/form';
import { SelectField } from '../parts/select-field';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { toCountKey } from './queries';

const text = words.countingRoom.unnoted;

/** A bag that came and that nobody noted at the site: with its machine, so that its box is counted by it like the others. */
export function AddBag({ toCount: { collection, boxes } }: { readonly toCount: ToCount }) {
  const { api } = useOperator();
  const summary = useRef<HTMLElement>(null);
  const [isOpen, setOpen] = useState(false);
  const [number, setNumber] = useState('');
  const [seal, setSeal] = useState('');
  const [machineTag, setMachineTag] = useState<string | null>(null);
  const fields = { number: 'unnoted-number', seal: 'unnoted-seal', machineTag: 'unnoted-machine', bags: 'unnoted-seal' };
  const onDone = () => {
    // What was pressed is folded away.
    summary.current?.focus();
    setOpen(false);
    setNumber('');
    setSeal('');
    setMachineTag(null);
  };
  const { errors, busy, submit } = useSending({ send: api.addBag, fields, within: 'bags/0', changes: [[...toCountKey, collection.id], ['cash']], onDone });
  const send = () =>
    submit({ collectionId: collection.id, number: number.trim(), seal: seal.trim(), machineTag: machineTag === SEVERAL ? null : machineTag }, [
      unless(number.trim() !== '', fields.number, text.numberMissing),
      unless(seal.trim() !== '', fields.seal, words.cash.bags.sealMissing),
      unless(machineTag !== null, fields.machineTag, text.machineMissing),
    ]);
  return (
    <details className="notice" open={isOpen} onToggle={({ currentTarget }) => setOpen(currentTarget.open)}>
      <summary ref={summary}>{text.title}</summary>
      <p className="soft">{text.lead}</p>
      <Form errors={errors} busy={busy} action={text.action} onSubmit={send}>
        <Field id={fields.number} label={text.number} autoComplete="off" maxLength={60} error={errorAt(errors, fields.number)} value={number} onValue={setNumber} />
        <Field id={fields.seal} label={text.seal} autoComplete="off" maxLength={60} error={errorAt(errors, fields.seal)} value={seal} onValue={setSeal} />
        <SelectField
          id={fields.machineTag} label={text.machine} none={text.choose} error={errorAt(errors, fields.machineTag)} value={machineTag ?? ''}
          options={[...boxes.machines.map(({ tag }) => ({ value: tag, text: tag })), { value: SEVERAL, text: text.several }]} onValue={(value) => setMachineTag(value === '' ? null : value)}
        />
      </Form>
    </details>
  );
}

/** No machine has this for its tag: codes have no spaces. */
const SEVERAL = ' ';
