import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { KeyInventory } from '../../api/shapes';
import { Field } from '../../parts/field';
import { errorAt } from '../../parts/form';
import { FormDialog } from '../../parts/form-dialog';
import { SelectField } from '../../parts/select-field';
import { unless, useSending } from '../../parts/use-sending';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { keyCodesQuery } from '../queries';
import { HolderField, type HolderReference } from '../record/holder-field';

const text = words.keyInventories;

interface BesideProps {
  readonly inventory: KeyInventory;
  readonly onClose: () => void;
}

/** A copy that is asked for was seen where the books do not have it. */
export function SeenElsewhere({ inventory, onClose }: BesideProps) {
  const { api } = useOperator();
  const id = useId();
  const [copyId, setCopy] = useState('');
  const [at, setAt] = useState<HolderReference | null>(null);
  const fields = { keyCopyIds: `${id}-copy`, at: `${id}-at` };
  const { errors, busy, submit } = useSending({ send: api.countKeys, fields, changes: [['keys']], onDone: onClose });
  const send = () => {
    const missing = [unless(copyId !== '', fields.keyCopyIds, text.whichMissing), unless(at !== null, fields.at, text.whereMissing)];
    submit({ id: inventory.id, body: { keyCopyIds: [copyId], at: at ?? { kind: 'store', id: '' } } }, missing);
  };
  return (
    <FormDialog title={text.elsewhereTitle} lead={text.elsewhereLead} errors={errors} busy={busy} action={text.elsewhereAction} onSubmit={send} onClose={onClose}>
      <SelectField
        id={fields.keyCopyIds} label={text.which} error={errorAt(errors, fields.keyCopyIds)} value={copyId} none={words.keys.holdings.choose} onValue={setCopy}
        options={inventory.items.filter(({ counted }) => counted === null).map((item) => ({ value: item.keyCopyId, text: words.custody.named(item.number, item.code) }))}
      />
      <HolderField id={fields.at} label={text.where} error={errorAt(errors, fields.at)} kinds={['person', 'place', 'store']} value={at} onValue={setAt} />
    </FormDialog>
  );
}

/** A key turned up that nobody ever put into the books. */
export function Surplus({ inventory, onClose }: BesideProps) {
  const { api } = useOperator();
  const id = useId();
  const codes = useQuery(keyCodesQuery(api));
  const [codeId, setCode] = useState('');
  const [note, setNote] = useState('');
  const fields = { keyCodeId: `${id}-code`, note: `${id}-note` };
  const { errors, busy, submit } = useSending({ send: api.recordSurplusKey, fields, changes: [['keys']], onDone: onClose });
  const send = () => submit({ id: inventory.id, body: { note: note.trim(), ...(codeId === '' ? {} : { keyCodeId: codeId }) } }, [unless(note.trim().length >= 3, fields.note, text.surplusMissing)]);
  return (
    <FormDialog title={text.surplus} lead={text.surplusLead} errors={errors} busy={busy} action={text.elsewhereAction} onSubmit={send} onClose={onClose}>
      <SelectField
        id={fields.keyCodeId} label={text.surplusCode} error={errorAt(errors, fields.keyCodeId)} value={codeId} none={text.surplusUnknown} isLoading={codes.isLoading} onValue={setCode}
        options={(codes.data ?? []).map(({ id: value, code }) => ({ value, text: code }))}
      />
      <Field id={fields.note} label={text.surplusNote} autoComplete="off" error={errorAt(errors, fields.note)} value={note} onValue={setNote} />
    </FormDialog>
  );
}
