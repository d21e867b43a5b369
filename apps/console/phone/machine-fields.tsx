import type { CoinSet } from '../api/shapes';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import framed from '../parts/framed.module.css';
import { notSaid, WhyNotRead, type Unread } from '../parts/why-not-read';
import { words } from '../words/words';
import { BoxFields } from './box-fields';
import { asksMetered, isEnteredIn, type Counting, type MachineDraft, type StopMachine, type VisitPlace } from './draft';
import styles from './phone.module.css';

const text = words.phone.visit;

interface MachineFieldsProps {
  readonly machine: StopMachine;
  readonly typed: MachineDraft;
  readonly counting: Counting;
  readonly stop: VisitPlace;
  readonly coinSet: CoinSet | null;
  readonly errors: readonly FormError[];
  readonly onTyped: (typed: MachineDraft) => void;
}

/** One machine: what was in its box, or the bag that it went into, and what its meters show. */
export function MachineFields({ machine, typed, counting, stop, coinSet, errors, onTyped }: MachineFieldsProps) {
  const at = (field: string) => `${machine.machineId}-${field}`;
  const line = (field: 'bag' | 'seal') => (
    <Field id={at(field)} label={text[field]} autoComplete="off" error={errorAt(errors, at(field))} value={typed[field]} onValue={(value) => onTyped({ ...typed, [field]: value })} />
  );
  const { whyUnread = {} } = typed;
  const isEntered = isEnteredIn(typed, counting);
  const isReadOf = (meterId: string): boolean => (typed.readings[meterId] ?? '').trim() !== '';
  /** A dark display or a dead machine is the reason of all its meters: the others start from it. */
  const withReason = (meterId: string, unread: Unread): Readonly<Record<string, Unread>> => {
    const others = machine.meters.filter((other) => other.meterId !== meterId && !isReadOf(other.meterId) && (whyUnread[other.meterId]?.why ?? '') === '');
    return { ...whyUnread, ...Object.fromEntries(others.map((other) => [other.meterId, unread])), [meterId]: unread };
  };
  return (
    <fieldset className={framed.box}>
      <legend>{text.machine(machine.tag, machine.game)}</legend>
      {counting === 'room' ? null : (
        <BoxFields id={machine.machineId} box={typed} currency={stop.currency} coinSet={coinSet} tokens={stop.tokens} isCashOnly={counting === 'both'} amountHint={text.amountHint(stop.currency)} errors={errors} onBox={(change) => onTyped({ ...typed, ...change })} />
      )}
      {counting === 'here' ? null : (
        <div className={styles.pair}>
          {line('bag')}
          {line('seal')}
        </div>
      )}
      <Leaves machine={machine} typed={typed} isEntered={isEntered} onTyped={onTyped} />
      {asksMetered(stop, machine) ? (
        <Field id={at('metered')} label={text.metered(stop.currency)} hint={text.meteredHint} inputMode="decimal" autoComplete="off" error={errorAt(errors, at('metered'))} value={typed.metered} onValue={(metered) => onTyped({ ...typed, metered })} />
      ) : null}
      {machine.meters.map(({ meterId, label }) => (
        <div key={meterId} className="stack">
          <Field
            id={at(meterId)} label={text.meter(label)} inputMode="numeric" autoComplete="off" error={errorAt(errors, at(meterId))}
            value={typed.readings[meterId] ?? ''} onValue={(value) => onTyped({ ...typed, readings: { ...typed.readings, [meterId]: value } })}
          />
          {isEntered && !isReadOf(meterId) ? <WhyNotRead id={at(meterId)} label={text.meter(label)} unread={whyUnread[meterId] ?? notSaid} errors={errors} onUnread={(unread) => onTyped({ ...typed, whyUnread: withReason(meterId, unread) })} /> : null}
        </div>
      ))}
    </fieldset>
  );
}

/** Whether this is the last box of the machine here: said by the books, or ticked once something of it is entered. */
function Leaves({ machine, typed, isEntered, onTyped }: Pick<MachineFieldsProps, 'machine' | 'typed' | 'onTyped'> & { readonly isEntered: boolean }) {
  if (machine.leaves) return <p className="field-hint">{text.leavesByBooks}</p>;
  if (!isEntered && typed.leaves !== true) return null;
  return (
    <label className={framed.tick}>
      <input id={`${machine.machineId}-leaves`} type="checkbox" checked={typed.leaves ?? false} onChange={({ currentTarget }) => onTyped({ ...typed, leaves: currentTarget.checked })} />
      {text.leaves}
    </label>
  );
}
