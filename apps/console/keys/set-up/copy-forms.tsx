import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link } from 'react-router';
import type { KeyCode, KeyCopy } from '../../api/shapes';
import { ConfirmWithReason } from '../../parts/confirm-with-reason';
import { Field } from '../../parts/field';
import { errorAt } from '../../parts/form';
import { FormDialog } from '../../parts/form-dialog';
import { SelectField } from '../../parts/select-field';
import { useMutation } from '../../parts/use-mutation';
import { unless, useSending } from '../../parts/use-sending';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { nextNumber, numbersFrom } from './numbers';
import { asCode } from './parts';
import { keyStoresQuery, setUpKey } from './queries';

const text = words.keySetUp.code;
const MOST = 200;

interface MakeCopiesProps {
  readonly code: KeyCode;
  readonly copies: readonly KeyCopy[];
  readonly onClose: () => void;
}

/** Numbers keys and puts them into a store; the fields come filled in as far as can be guessed. */
export function MakeCopies({ code, copies, onClose }: MakeCopiesProps) {
  const { api, to } = useOperator();
  const id = useId();
  const stores = useQuery(keyStoresQuery(api));
  const [first, setFirst] = useState(copies.length === 0 ? `${code.code}-01` : nextNumber(copies.map(({ number }) => number)));
  const [howMany, setHowMany] = useState('1');
  const [chosenStore, setStore] = useState<string | null>(null);
  const [cutFrom, setCutFrom] = useState('');
  const [reason, setReason] = useState(text.makeReason);
  const fields = { numbers: `${id}-first`, howMany: `${id}-many`, storeId: `${id}-store`, duplicatedFromId: `${id}-from`, reason: `${id}-reason` };
  const { errors, busy, submit } = useSending({ send: api.makeKeyCopies, fields, changes: [setUpKey], onDone: onClose });
  const many = /^\d{1,3}$/.test(howMany.trim()) ? Number(howMany) : 0;
  const isMany = many >= 1 && many <= MOST;
  const numbers = isMany && first.trim() !== '' ? numbersFrom(asCode(first), many) : null;
  // With one store there is nothing to choose.
  const storeId = chosenStore ?? (stores.data?.length === 1 ? (stores.data[0]?.id ?? '') : '');
  const send = () =>
    submit({ keyCodeId: code.id, numbers: [...(numbers ?? [])], storeId, reason, ...(cutFrom === '' ? {} : { duplicatedFromId: cutFrom }) }, [
      unless(!isMany || numbers !== null, fields.numbers, text.firstHint),
      unless(isMany, fields.howMany, text.howManyWrong),
      unless(storeId !== '', fields.storeId, text.storeMissing),
      unless(reason.trim().length >= 3, fields.reason, words.reasonMissing),
    ]);
  const atHand = copies.filter(({ where }) => where?.state === 'held');
  return (
    <FormDialog title={text.makeTitle(code.code)} lead={text.makeLead} errors={errors} busy={busy} action={text.make} onSubmit={send} onClose={onClose}>
      <Field id={fields.howMany} label={text.howMany} inputMode="numeric" error={errorAt(errors, fields.howMany)} value={howMany} onValue={setHowMany} />
      <Field id={fields.numbers} label={text.first} hint={text.firstHint} autoComplete="off" error={errorAt(errors, fields.numbers)} value={first} onValue={setFirst} />
      <p role="status" className="soft small">
        {numbers === null ? null : text.numbers(numbers[0] ?? '', numbers.at(-1) ?? '')}
      </p>
      <SelectField
        id={fields.storeId} label={text.store} error={errorAt(errors, fields.storeId)} value={storeId} none={words.keySetUp.person.choose} isLoading={stores.isLoading} onValue={setStore}
        options={(stores.data ?? []).map((store) => ({ value: store.id, text: `${store.name} (${store.code})` }))}
      >
        {stores.data?.length === 0 ? <Link to={to('keys/stores')}>{text.noStore}</Link> : null}
      </SelectField>
      {atHand.length === 0 ? null : (
        <SelectField
          id={fields.duplicatedFromId} label={text.cameFrom} error={errorAt(errors, fields.duplicatedFromId)} value={cutFrom} none={text.made} onValue={setCutFrom}
          options={atHand.map((copy) => ({ value: copy.id, text: text.cutFrom(copy.number) }))}
        />
      )}
      <Field id={fields.reason} label={words.reason} hint={words.keySetUp.reasonHint} error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
    </FormDialog>
  );
}

/** A key that was broken up. */
export function DestroyCopy({ copy, onClose }: { readonly copy: KeyCopy; readonly onClose: () => void }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const destroying = useMutation({
    mutationFn: (reason: string, key) => api.recordKeyEvent({ kind: 'destroyed', keyCopyIds: [copy.id], reason }, key),
    onSuccess: async () => {
      await client.invalidateQueries({ queryKey: setUpKey });
      onClose();
    },
  });
  return (
    <ConfirmWithReason
      title={text.destroyTitle(copy.number)} what={text.destroyWhat(copy.number)} action={text.destroyAction} busy={destroying.isPending} error={destroying.error}
      onConfirm={(reason) => destroying.mutate(reason)} onClose={onClose}
    />
  );
}
