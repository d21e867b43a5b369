import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { useNavigate } from 'react-router';
import { Field } from '../../parts/field';
import { errorAt } from '../../parts/form';
import { FormDialog } from '../../parts/form-dialog';
import { SelectField } from '../../parts/select-field';
import { unless, useSending } from '../../parts/use-sending';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { keyStoresQuery } from '../set-up/queries';

const text = words.keyInventories;
const causes = ['schedule', 'custodian-change', 'by-hand'] as const;
type Cause = (typeof causes)[number];

/** Why a count is begun; `storeId` is empty for every key. */
export interface Opening {
  readonly cause: Cause;
  readonly storeId: string;
}

interface OpenInventoryProps {
  readonly opening: Opening;
  readonly onClose: () => void;
}

export function OpenInventory({ opening, onClose }: OpenInventoryProps) {
  const { api, may, to } = useOperator();
  const navigate = useNavigate();
  const id = useId();
  const stores = useQuery({ ...keyStoresQuery(api), enabled: may('key-store.read') });
  const [cause, setCause] = useState<Cause>(opening.cause);
  const [storeId, setStore] = useState(opening.storeId);
  const [reason, setReason] = useState(text.reasonReady);
  const fields = { cause: `${id}-cause`, storeId: `${id}-store`, reason: `${id}-reason` };
  const { errors, busy, submit } = useSending({ send: api.openKeyInventory, fields, changes: [['keys', 'inventories']], onDone: (opened) => void navigate(to(`keys/inventories/${opened.id}`)) });
  // The regular count is of every key.
  const ofStore = cause === 'schedule' ? '' : storeId;
  const send = () =>
    submit({ cause, reason: reason.trim(), ...(ofStore === '' ? {} : { storeId: ofStore }) }, [
      unless(cause !== 'custodian-change' || ofStore !== '', fields.storeId, text.storeMissing),
      unless(reason.trim().length >= 3, fields.reason, words.reasonMissing),
    ]);
  return (
    <FormDialog title={text.openTitle} lead={text.openLead} errors={errors} busy={busy} action={text.openAction} onSubmit={send} onClose={onClose}>
      <SelectField
        id={fields.cause} label={text.cause} error={errorAt(errors, fields.cause)} value={cause} options={causes.map((value) => ({ value, text: text.causes[value] }))}
        onValue={(value) => setCause(causes.find((each) => each === value) ?? cause)}
      />
      {cause === 'schedule' ? null : (
        <SelectField
          id={fields.storeId} label={text.store} error={errorAt(errors, fields.storeId)} value={storeId} none={cause === 'by-hand' ? text.everyKey : words.keys.holdings.choose} isLoading={stores.isLoading} onValue={setStore}
          options={(stores.data ?? []).map((store) => ({ value: store.id, text: words.custody.named(store.name, store.code) }))}
        />
      )}
      <Field id={fields.reason} label={words.reason} autoComplete="off" error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
    </FormDialog>
  );
}
