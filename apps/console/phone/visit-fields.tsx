import type { CoinSet } from '../api/shapes';
import { dayIn } from '../format/day';
import type { FormError } from '../parts/error-summary';
import { errorAt } from '../parts/form';
import framed from '../parts/framed.module.css';
import { words } from '../words/words';
import { claimsGone, machineIn, withMachine, type Draft, type DraftError, type VisitPlace } from './draft';
import type { TypedAt } from './field-at';
import { Handed } from './handed';
import { MachineFields } from './machine-fields';
import { namesOfClaims, Refunds } from './refunds';
import { ScaleFields } from './scale-fields';
import styles from './phone.module.css';

const text = words.phone.visit;

interface VisitFieldsProps {
  readonly draft: Draft;
  readonly stop: VisitPlace;
  readonly coinSet: CoinSet | null;
  readonly errors: readonly FormError[];
  readonly onDraft: (draft: Draft) => void;
}

/** A visit machine by machine, with the slips and the cash that belong to it. */
export function VisitFields({ draft, stop, coinSet, errors, onDraft }: VisitFieldsProps) {
  const isWeighing = draft.counting !== 'room' && stop.machines.some(({ machineId }) => machineIn(draft, machineId).way === 'weight');
  return (
    <>
      <Counting draft={draft} errors={errors} onDraft={onDraft} />
      {isWeighing ? <ScaleFields scale={draft.scale} errors={errors} onScale={(scale) => onDraft({ ...draft, scale })} /> : null}
      <div className={styles.machines}>
        {stop.machines.map((machine) => (
          <MachineFields
            key={machine.machineId} machine={machine} typed={machineIn(draft, machine.machineId)} counting={draft.counting} stop={stop} coinSet={coinSet} errors={errors}
            onTyped={(typed) => onDraft(withMachine(draft, machine, typed))}
          />
        ))}
      </div>
      <Refunds
        stop={stop} day={dayIn(new Date(draft.happenedAt), stop.timeZone)} presented={draft.presented ?? []} gone={claimsGone(draft, stop)}
        onPresented={(presented) => onDraft({ ...draft, presented, claimNames: { ...draft.claimNames, ...namesOfClaims(stop) } })}
        onIsClaim={(refundId, claimId) => onDraft({ ...draft, presented: [...(draft.presented ?? []), claimId], claimNames: { ...draft.claimNames, ...namesOfClaims(stop) }, refunds: draft.refunds.filter(({ id }) => id !== refundId) })}
        refunds={draft.refunds} errors={errors} onRefunds={(refunds) => onDraft({ ...draft, refunds })}
      />
      <Handed stop={stop} counting={draft.counting} handed={draft.handed} errors={errors} onHanded={(handed) => onDraft({ ...draft, handed })} />
    </>
  );
}

const countings = ['here', 'room', 'both'] as const;

function Counting({ draft, errors, onDraft }: { readonly draft: Draft; readonly errors: readonly FormError[]; readonly onDraft: (draft: Draft) => void }) {
  return (
    <fieldset className={framed.frame}>
      <legend>{text.counting}</legend>
      {countings.map((counting) => (
        <label key={counting} className={framed.tick}>
          <input id={counting} type="radio" name="counting" aria-describedby={errorAt(errors, counting) === undefined ? undefined : `${counting}-error`} checked={draft.counting === counting} onChange={() => onDraft({ ...draft, counting })} />
          {text[counting]}
        </label>
      ))}
      {countings.map((counting) => {
        const message = errorAt(errors, counting);
        return message === undefined ? null : <p key={counting} id={`${counting}-error`} className="field-error">{message}</p>;
      })}
      {/* What is counted here was opened here. */}
      {draft.counting === 'room' ? (
        <label className={framed.tick}>
          <input id="exchanged" type="checkbox" checked={draft.exchanged ?? false} onChange={({ currentTarget }) => onDraft({ ...draft, exchanged: currentTarget.checked })} />
          {text.exchanged}
        </label>
      ) : null}
    </fieldset>
  );
}

export function toFormError(error: DraftError): FormError {
  const { field, machineTag } = error;
  if ('lost' in error) return { fieldId: field, message: saidOf({ machineTag: error.machineTag }, words.phone.left[error.reason](error.lost)) };
  const { reason, entry, meter } = error;
  const message = reason === 'too-many-digits' ? words.phone.errors[reason](meter?.digits ?? 0) : words.phone.errors[reason];
  return { fieldId: field, message: saidOf(entry ?? (machineTag === undefined ? null : { machineTag, ...(meter === undefined ? {} : { meterLabel: meter.label }) }), message) };
}

/** What the api says of a visit, with the field to which it leads. */
export function toFormErrorAt({ fieldId, about }: TypedAt, message: string): FormError {
  return { fieldId, message: saidOf(about, message) };
}

/** Several parts of a visit are asked the same: the line says which is meant, where it does not name the machine itself. */
function saidOf(about: TypedAt['about'], message: string): string {
  if (about === null) return message;
  const name = 'machineTag' in about ? (about.meterLabel === undefined ? about.machineTag : text.meterOf({ machine: about.machineTag, meter: about.meterLabel })) : about.kind === 'refund' ? text.refund(about.place) : text.handedOne(about.place);
  const isNamed = 'machineTag' in about && message.split(/[^A-Z0-9-]+/).includes(about.machineTag);
  return isNamed ? message : words.phone.of(name, message);
}
