import { useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { DismissedFault, MachineFault } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Moment } from '../keys/parts';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { TitledTable } from '../parts/titled-table';
import { useMutation } from '../parts/use-mutation';
import { unless, useSending } from '../parts/use-sending';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { machineFaultsQuery, outagesQuery } from './queries';

const text = words.machineReports;

const keyOf = (fault: MachineFault): string => [fault.machineId, fault.kind, fault.fault, fault.startedAt].join(' ');

/** What machines report that would be an outage, or the end of one: they propose, a person records. */
export function Faults({ faults, more }: { readonly faults: readonly MachineFault[]; readonly more: boolean }) {
  const { may } = useOperator();
  const [chosen, setChosen] = useState<MachineFault | null>(null);
  const [dismissing, setDismissing] = useState<MachineFault | null>(null);
  const nameOf = ({ kind, fault }: MachineFault) => (kind === 'door' ? text.door : text.fault(fault));
  const rows = faults.map((fault) => (
    <tr key={keyOf(fault)}>
      <th scope="row">{fault.machineTag}</th>
      <td>{fault.siteName}</td>
      <td>{nameOf(fault)}</td>
      <td>
        <Moment instant={fault.startedAt} />
      </td>
      <td>{fault.endedAt === null ? text.goesOn : <Moment instant={fault.endedAt} />}</td>
      <td>
        <div className="row">
          {may('outage.report') ? (
            <button type="button" className="button button-small" onClick={() => setChosen(fault)}>
              {fault.proposes === 'end' ? text.end : text.record}
              <span className="visually-hidden">{` ${fault.machineTag}`}</span>
            </button>
          ) : null}
          {fault.proposes === 'outage' && may('machine-fault.dismiss') ? (
            <button type="button" className="button button-small" onClick={() => setDismissing(fault)}>
              {text.dismiss}
              <span className="visually-hidden">{` ${fault.machineTag}, ${nameOf(fault)}`}</span>
            </button>
          ) : null}
        </div>
      </td>
    </tr>
  ));
  return (
    <>
      <TitledTable id="faults" title={text.faults} none={text.noFaults} rows={rows} columns={[words.machine, words.site, text.what, text.since, text.until, words.commands]} />
      {more ? <p>{text.moreFaults}</p> : null}
      {rows.length === 0 ? null : <p className="soft small">{text.faultsWhat}</p>}
      {chosen === null ? null : <RecordOutage key={keyOf(chosen)} fault={chosen} onClose={() => setChosen(null)} />}
      {dismissing === null ? null : <Dismiss key={keyOf(dismissing)} fault={dismissing} what={nameOf(dismissing)} onClose={() => setDismissing(null)} />}
    </>
  );
}

function Dismiss({ fault, what, onClose }: { readonly fault: MachineFault; readonly what: string; readonly onClose: () => void }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const { machineId, machineTag, kind, startedAt } = fault;
  const dismissing = useMutation({
    mutationFn: (reason: string, key) => api.dismissMachineFault({ machineId, kind, fault: fault.fault, startedAt, reason: reason.trim() }, key),
    onSuccess: async () => {
      await client.invalidateQueries({ queryKey: machineFaultsQuery(api).queryKey });
      onClose();
    },
  });
  return (
    <ConfirmWithReason
      title={text.dismissTitle(machineTag)} what={`${text.told(what, formatInstant(startedAt, locale))} ${text.dismissWhat}`} action={text.dismiss} busy={dismissing.isPending} error={dismissing.error}
      onConfirm={(reason) => dismissing.mutate(reason)} onClose={onClose}
    />
  );
}

/** What somebody said is no outage: nothing disappears without a name. */
export function DismissedFaults({ dismissed }: { readonly dismissed: readonly DismissedFault[] }) {
  const nameOf = useActorName();
  if (dismissed.length === 0) return null;
  return (
    <TitledTable
      id="dismissed-faults" title={text.dismissed} none="" columns={[words.machine, text.what, text.since, words.reason]}
      rows={dismissed.map(({ machineId, machineTag, kind, fault, startedAt, reason, dismissedBy }) => (
        <tr key={[machineId, kind, fault, startedAt].join(' ')}>
          <th scope="row">{machineTag}</th>
          <td>{kind === 'door' ? text.door : text.fault(fault)}</td>
          <td>
            <Moment instant={startedAt} />
          </td>
          <td>
            {reason} <span className="soft small">{text.dismissedBy(nameOf(dismissedBy))}</span>
          </td>
        </tr>
      ))}
    />
  );
}

function RecordOutage({ fault, onClose }: { readonly fault: MachineFault; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const [cause, setCause] = useState(fault.kind === 'door' ? text.door : text.fault(fault.fault));
  const [remedy, setRemedy] = useState('');
  const { machineId, startedAt, endedAt, outageId } = fault;
  const fields = { cause: `${id}-cause`, remedy: `${id}-remedy` };
  const { errors, busy, submit } = useSending({
    send: (said: { cause: string; remedy: string }, key) =>
      outageId !== null && endedAt !== null
        ? api.endOutage({ id: outageId, endedAt, remedy: said.remedy }, key)
        : api.reportOutage({ machineId, startedAt, cause: said.cause, ...(endedAt === null ? {} : { endedAt, remedy: said.remedy }) }, key),
    fields,
    changes: [machineFaultsQuery(api).queryKey, outagesQuery(api).queryKey, ['variances']],
    onDone: onClose,
  });
  const asksCause = outageId === null;
  const asksRemedy = endedAt !== null;
  return (
    <FormDialog
      title={text.recordTitle(fault.machineTag)} lead={text.recordLead(formatInstant(startedAt, locale), endedAt === null ? null : formatInstant(endedAt, locale))}
      errors={errors} busy={busy} action={asksCause ? text.record : text.end} onClose={onClose}
      onSubmit={() =>
        submit({ cause: cause.trim(), remedy: remedy.trim() }, [unless(!asksCause || cause.trim().length >= 3, fields.cause, text.causeMissing), unless(!asksRemedy || remedy.trim().length >= 3, fields.remedy, text.remedyMissing)])
      }
    >
      {asksCause ? <Field id={fields.cause} label={text.cause} value={cause} onValue={setCause} error={errorAt(errors, fields.cause)} /> : null}
      {asksRemedy ? <Field id={fields.remedy} label={text.remedy} value={remedy} onValue={setRemedy} error={errorAt(errors, fields.remedy)} /> : null}
    </FormDialog>
  );
}
