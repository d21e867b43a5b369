import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import framed from '../parts/framed.module.css';
import { removeAround } from '../parts/move-focus';
import { SelectField } from '../parts/select-field';
import { words } from '../words/words';
import { claimLike, claimsOf, type claimsGone, type RefundDraft, type VisitPlace } from './draft';
import { slipName } from '../refund-claims/slip';
import { machinesToChoose } from './machine-options';
import styles from './phone.module.css';

const text = words.phone.visit;

interface RefundsProps {
  readonly stop: VisitPlace;
  /** Of the visit, at the site: what a slip begins with, and no slip is of a later day. */
  readonly day: string;
  /** Of the slips that the site had entered, by the id of the claim. */
  readonly presented: readonly string[];
  /** Those of them that are no longer listed. */
  readonly gone: ReturnType<typeof claimsGone>;
  readonly onPresented: (presented: readonly string[]) => void;
  /** A typed slip is that of a claim: the claim is ticked in its place. */
  readonly onIsClaim: (refundId: string, claimId: string) => void;
  readonly refunds: readonly RefundDraft[];
  readonly errors: readonly FormError[];
  readonly onRefunds: (refunds: readonly RefundDraft[]) => void;
}

/** Slips that the site presents for money that it gave back to players. */
export function Refunds({ stop, day, presented, gone, onPresented, onIsClaim, refunds, errors, onRefunds }: RefundsProps) {
  const [first] = stop.machines;
  if (first === undefined && refunds.length + gone.length === 0) return null;
  const change = (id: string, fields: Partial<RefundDraft>) => onRefunds(refunds.map((each) => (each.id === id ? { ...each, ...fields } : each)));
  return (
    <section className="stack" aria-labelledby="refunds">
      <h2 id="refunds">{text.refunds}</h2>
      <p className="soft">{text.refundsLead}</p>
      <Claims stop={stop} presented={presented} gone={gone} errors={errors} onPresented={onPresented} />
      {refunds.map((refund, index) => {
        const { id, machineTag, refundedOn, amount, paidBy = 'site' } = refund;
        return (
          <fieldset key={id} className={framed.box}>
            <legend>{text.refund(index + 1)}</legend>
            <SelectField id={`${id}-machine`} label={words.machine} error={errorAt(errors, `${id}-machine`)} value={machineTag} options={machinesToChoose(stop, machineTag)} onValue={(tag) => change(id, { machineTag: tag })} />
            <div className={styles.pair}>
              <Field id={`${id}-day`} type="date" label={text.refundedOn} error={errorAt(errors, `${id}-day`)} value={refundedOn} onValue={(typed) => change(id, { refundedOn: typed })} />
              <Field id={`${id}-amount`} label={text.amount(stop.currency)} inputMode="decimal" autoComplete="off" error={errorAt(errors, `${id}-amount`)} value={amount} onValue={(typed) => change(id, { amount: typed })} />
            </div>
            <SelectField
              id={`${id}-paid`} label={text.paidBy} hint={paidBy === 'operator' ? text.outOfBoxHint : undefined} value={paidBy} options={(['site', 'operator'] as const).map((who) => ({ value: who, text: text.paidByWhom[who] }))}
              onValue={(who) => change(id, { paidBy: who === 'operator' ? 'operator' : 'site' })}
            />
            <Alike stop={stop} refund={refund} presented={presented} onIsClaim={(claimId) => onIsClaim(id, claimId)} />
            <div>
              <button type="button" className="button-plain" onClick={({ currentTarget }) => removeAround(currentTarget, () => onRefunds(refunds.filter((each) => each.id !== id)))}>
                {text.remove}
                <span className="visually-hidden">{` ${text.refund(index + 1)}`}</span>
              </button>
            </div>
          </fieldset>
        );
      })}
      {first === undefined ? null : (
        <div>
          <button type="button" className="button" onClick={() => onRefunds([...refunds, { id: crypto.randomUUID(), machineTag: first.tag, refundedOn: day, amount: '' }])}>
            {text.addRefund}
          </button>
        </div>
      )}
    </section>
  );
}

/** That a typed slip says the same as one that the site entered: the paper may be entered twice, or be that of a second player. */
function Alike({ stop, refund, presented, onIsClaim }: Pick<RefundsProps, 'stop' | 'presented'> & { readonly refund: RefundDraft; readonly onIsClaim: (claimId: string) => void }) {
  const claim = claimLike(refund, { stop, presented, locale });
  const say = words.refundClaims;
  if (claim === null) return null;
  if (presented.includes(claim.id)) return <p className="soft small">{say.looksTicked(slipName(claim))}</p>;
  return (
    <p className="soft small">
      {say.looksLike(slipName(claim))}{' '}
      <button type="button" className="button-plain" onClick={({ currentTarget }) => removeAround(currentTarget, () => onIsClaim(claim.id))}>
        {say.isThisOne}
      </button>
    </p>
  );
}

/** What the site entered beforehand, to be ticked as the paper comes. */
function Claims({ stop, presented, gone, errors, onPresented }: Pick<RefundsProps, 'stop' | 'presented' | 'gone' | 'errors' | 'onPresented'>) {
  const claims = claimsOf(stop);
  if (claims.length + gone.length === 0) return null;
  return (
    <fieldset className={framed.frame}>
      <legend>{words.refundClaims.presented}</legend>
      {claims.map((claim) => (
        <label key={claim.id} className={framed.tick}>
          <input id={`claim-${claim.id}`} type="checkbox" checked={presented.includes(claim.id)} onChange={(event) => onPresented(event.currentTarget.checked ? [...presented, claim.id] : presented.filter((each) => each !== claim.id))} />
          {presentedName(claim)}
        </label>
      ))}
      {gone.map(({ id, name }) => (
        <div key={id}>
          <label className={framed.tick}>
            <input id={`claim-${id}`} type="checkbox" checked aria-invalid={errorAt(errors, `claim-${id}`) !== undefined} aria-describedby={`claim-${id}-gone`} onChange={() => onPresented(presented.filter((each) => each !== id))} />
            {name ?? text.claimNoName}
          </label>
          <p id={`claim-${id}-gone`} className="field-error">{text.claimGone}</p>
        </div>
      ))}
    </fieldset>
  );
}

/** What the slips that a site entered are called now. */
export function namesOfClaims(stop: VisitPlace): Readonly<Record<string, string>> {
  return Object.fromEntries(claimsOf(stop).map((claim) => [claim.id, presentedName(claim)]));
}

function presentedName({ machineTag, refundedOn, number, amount }: VisitPlace['refundClaims'][number]): string {
  return words.refundClaims.presentedOne({ machine: machineTag, day: formatDay(refundedOn, locale), number, amount: formatMoney(amount, locale) });
}
