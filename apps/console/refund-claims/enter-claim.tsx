import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { dayOf } from '../format/day';
import { locale } from '../format/locale';
import { readTypedAmount } from '../format/typed-amount';
import { everySiteQuery } from '../keys/queries';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { machinesAtQuery, siteQuery } from '../sites/queries';
import { words } from '../words/words';
import { refundClaimsKey } from './queries';

const text = words.refundClaims;

interface EnterClaimProps {
  /** The site whose slip it is; null where that is chosen first. */
  readonly siteId: string | null;
  readonly onClose: () => void;
}

/** A slip for money that a site gave back to a player. */
export function EnterClaim({ siteId, onClose }: EnterClaimProps) {
  const { api } = useOperator();
  const id = useId();
  const [chosenSite, setChosenSite] = useState(siteId ?? '');
  const [machineTag, setMachineTag] = useState('');
  const [refundedOn, setRefundedOn] = useState(() => dayOf(new Date()));
  const [typed, setTyped] = useState('');
  const [number, setNumber] = useState('');
  const [reason, setReason] = useState('');
  const site = useQuery({ ...siteQuery(api, chosenSite), enabled: chosenSite !== '' });
  const machines = useQuery({ ...machinesAtQuery(api, chosenSite), enabled: chosenSite !== '' });
  const everySite = useQuery({ ...everySiteQuery(api), enabled: siteId === null });
  const fields = { siteId: `${id}-site`, machineTag: `${id}-machine`, refundedOn: `${id}-day`, amount: `${id}-amount`, number: `${id}-number`, reason: `${id}-reason` };
  const { errors, busy, submit } = useSending({ send: api.enterRefundClaim, fields, changes: [refundClaimsKey], onDone: onClose });
  const currency = site.data?.currency ?? '';
  const amount = readTypedAmount({ text: typed, currency, locale });
  const send = () =>
    submit({ siteId: chosenSite, machineTag, refundedOn, amount: amount ?? { amount: '', currency }, reason: reason.trim(), ...(number.trim() === '' ? {} : { number: number.trim() }) }, [
      unless(chosenSite !== '', fields.siteId, text.siteMissing),
      unless(machineTag !== '', fields.machineTag, text.machineMissing),
      unless(refundedOn !== '', fields.refundedOn, text.dayMissing),
      unless(amount !== null, fields.amount, text.amountMissing),
      unless(reason.trim().length >= 3, fields.reason, text.whyMissing),
    ]);
  return (
    <FormDialog title={text.enter} errors={errors} busy={busy} needs={[site]} action={text.enterAction} onSubmit={send} onClose={onClose}>
      {siteId === null ? (
        <SelectField
          id={fields.siteId} label={words.site} none={text.choose} isLoading={everySite.isLoading} error={errorAt(errors, fields.siteId)} value={chosenSite} onValue={setChosenSite}
          options={(everySite.data ?? []).map((each) => ({ value: each.id, text: `${each.name} (${each.code})` }))}
        />
      ) : null}
      <SelectField
        id={fields.machineTag} label={words.machine} none={text.choose} isLoading={machines.isLoading} error={errorAt(errors, fields.machineTag)} value={machineTag} onValue={setMachineTag}
        options={(machines.data ?? []).map(({ tag, kind }) => ({ value: tag, text: `${tag} (${words.machineKind(kind)})` }))}
      />
      <Field id={fields.refundedOn} type="date" label={text.day} error={errorAt(errors, fields.refundedOn)} value={refundedOn} onValue={setRefundedOn} />
      <Field id={fields.amount} label={text.amount(currency)} inputMode="decimal" autoComplete="off" error={errorAt(errors, fields.amount)} value={typed} onValue={setTyped} />
      <Field id={fields.number} label={text.number} hint={text.numberHint} autoComplete="off" maxLength={40} error={errorAt(errors, fields.number)} value={number} onValue={setNumber} />
      <Field id={fields.reason} label={text.why} autoComplete="off" maxLength={1000} error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
    </FormDialog>
  );
}
