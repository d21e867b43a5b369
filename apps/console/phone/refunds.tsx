import { dayOf, formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import framed from '../parts/framed.module.css';
import { SelectField } from '../parts/select-field';
import { words } from '../words/words';
import { claimsOf, type RefundDraft, type VisitPlace } from './draft';
import styles from './phone.module.css';

const text = words.phone.visit;

interface RefundsProps {
  readonly stop: VisitPlace;
  /** Of the slips that the site had entered, by the id of the claim. */
  readonly presented: readonly string[];
  readonly onPresented: (presented: readonly string[]) => void;
  readonly refunds: readonly RefundDraft[];
  readonly errors: readonly FormError[];
  readonly onRefunds: (refunds: readonly RefundDraft[]) => void;
}

/** Slips that the site presents for money that it gave back to players. */
export function Refunds({ stop, presented, onPresented, refunds, errors, onRefunds }: RefundsProps) {
  const [first] = stop.machines;
  if (first === undefined) return null;
  const change = (id: string, fields: Partial<RefundDraft>) => onRefunds(refunds.map((each) => (each.id === id ? { ...each, ...fields } : each)));
  const add = () => onRefunds([...refunds, { id: crypto.randomUUID(), machineTag: first.tag, refundedOn: dayOf(new Date()), amount: '' }]);
  return (
    <section className="stack" aria-labelledby="refunds">
      <h2 id="refunds">{text.refunds}</h2>
      <p className="soft">{text.refundsLead}</p>
      <Claims stop={stop} presented={presented} onPresented={onPresented} />
      {refunds.map(({ id, machineTag, refundedOn, amount }, index) => (
        <fieldset key={id} className={framed.box}>
          <legend>{text.refund(index + 1)}</legend>
          <SelectField id={`${id}-machine`} label={words.machine} value={machineTag} options={stop.machines.map(({ tag, game }) => ({ value: tag, text: text.machine(tag, game) }))} onValue={(tag) => change(id, { machineTag: tag })} />
          <div className={styles.pair}>
            <Field id={`${id}-day`} type="date" label={text.refundedOn} error={errorAt(errors, `${id}-day`)} value={refundedOn} onValue={(day) => change(id, { refundedOn: day })} />
            <Field id={`${id}-amount`} label={text.amount} inputMode="decimal" autoComplete="off" error={errorAt(errors, `${id}-amount`)} value={amount} onValue={(typed) => change(id, { amount: typed })} />
          </div>
          <div>
            <button type="button" className="button-plain" onClick={() => onRefunds(refunds.filter((each) => each.id !== id))}>
              {text.remove}
              <span className="visually-hidden">{` ${text.refund(index + 1)}`}</span>
            </button>
          </div>
        </fieldset>
      ))}
      <div>
        <button type="button" className="button" onClick={add}>
          {text.addRefund}
        </button>
      </div>
    </section>
  );
}

/** What the site entered beforehand, to be ticked as the paper comes. */
function Claims({ stop, presented, onPresented }: Pick<RefundsProps, 'stop' | 'presented' | 'onPresented'>) {
  const claims = claimsOf(stop);
  if (claims.length === 0) return null;
  return (
    <fieldset className={framed.frame}>
      <legend>{words.refundClaims.presented}</legend>
      {claims.map(({ id, machineTag, refundedOn, number, amount }) => (
        <label key={id} className={framed.tick}>
          <input type="checkbox" checked={presented.includes(id)} onChange={(event) => onPresented(event.currentTarget.checked ? [...presented, id] : presented.filter((each) => each !== id))} />
          {words.refundClaims.presentedOne({ machine: machineTag, day: formatDay(refundedOn, locale), number, amount: formatMoney(amount, locale) })}
        </label>
      ))}
    </fieldset>
  );
}
