import { useId, useState } from 'react';
import type { OperatorApi } from '../../api/operator-api';
import type { KeyStore } from '../../api/shapes';
import { Field } from '../../parts/field';
import { errorAt } from '../../parts/form';
import { FormDialog } from '../../parts/form-dialog';
import { SelectField } from '../../parts/select-field';
import { unless, useSending } from '../../parts/use-sending';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { codeFromName } from './numbers';
import { asCode, wrongCode } from './parts';
import { PersonField } from './person-field';
import { setUpKey } from './queries';

const text = words.keySetUp.stores;
const kinds = ['safe', 'van', 'envelope'] as const;
type Kind = (typeof kinds)[number];

interface Wish {
  /** Made once for all attempts: a store that was set up before the custodian was refused is not set up twice. */
  readonly id: string;
  readonly name: string;
  readonly code: string;
  readonly kind: Kind;
  readonly custodianId: string;
}

/** A store, and at once who answers for it, which are two things for the api. */
async function setUpStore(api: OperatorApi, { custodianId, ...store }: Wish, isThere: { value: boolean }, key: string): Promise<void> {
  if (!isThere.value) await api.createKeyStore(store, key);
  isThere.value = true;
  if (custodianId !== '') await api.appointCustodian({ id: store.id, body: { personId: custodianId } }, `${key}:custodian`);
}

export function NewStore({ onClose }: { readonly onClose: () => void }) {
  const { api, may } = useOperator();
  const id = useId();
  const [storeId] = useState(() => crypto.randomUUID());
  const [isThere] = useState({ value: false });
  const [name, setName] = useState('');
  const [ownCode, setOwnCode] = useState<string | null>(null);
  const [kind, setKind] = useState<Kind>('safe');
  const [custodianId, setCustodian] = useState('');
  const code = ownCode ?? codeFromName(name);
  const fields = { name: `${id}-name`, code: `${id}-code`, kind: `${id}-kind`, personId: `${id}-custodian` };
  const { errors, busy, submit } = useSending({ send: (wish: Wish, key) => setUpStore(api, wish, isThere, key), fields, changes: [setUpKey], onDone: onClose });
  const send = () =>
    submit({ id: storeId, name: name.trim(), code: asCode(code), kind, custodianId }, [
      unless(name.trim() !== '', fields.name, words.keySetUp.nameMissing),
      wrongCode(code, fields.code),
    ]);
  return (
    <FormDialog title={text.addTitle} errors={errors} busy={busy} action={text.add} onSubmit={send} onClose={onClose}>
      <Field id={fields.name} label={text.name} hint={text.nameHint} autoComplete="off" error={errorAt(errors, fields.name)} value={name} onValue={setName} />
      <Field id={fields.code} label={text.code} hint={words.keySetUp.codeHint} autoComplete="off" error={errorAt(errors, fields.code)} value={code} onValue={setOwnCode} />
      <SelectField
        id={fields.kind} label={text.kind} error={errorAt(errors, fields.kind)} value={kind} options={kinds.map((each) => ({ value: each, text: text.kinds[each] }))}
        onValue={(value) => setKind(kinds.find((each) => each === value) ?? 'safe')}
      />
      {may('key-store.appoint') ? (
        <PersonField
          id={fields.personId} label={text.answers} hint={text.answersHint} error={errorAt(errors, fields.personId)} employer={null}
          value={custodianId} none={text.answersLater} onValue={setCustodian}
        />
      ) : null}
    </FormDialog>
  );
}

/** Another custodian from now on, or nobody. */
export function Appoint({ store, onClose }: { readonly store: KeyStore; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const before = store.custodian?.personId ?? '';
  const [personId, setPerson] = useState(before);
  const fields = { personId: `${id}-person`, since: `${id}-person` };
  const { errors, busy, submit } = useSending({ send: api.appointCustodian, fields, changes: [setUpKey], onDone: onClose });
  const send = () => submit({ id: store.id, body: { personId: personId === '' ? null : personId } }, [unless(personId !== before, fields.personId, text.changedNothing)]);
  return (
    <FormDialog title={text.appointTitle(store.name)} lead={text.appointLead} errors={errors} busy={busy} action={text.appointAction} onSubmit={send} onClose={onClose}>
      <PersonField id={fields.personId} label={text.answers} hint={text.answersHint} error={errorAt(errors, fields.personId)} employer={null} value={personId} none={text.nobody} onValue={setPerson} />
    </FormDialog>
  );
}
