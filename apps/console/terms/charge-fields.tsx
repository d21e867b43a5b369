import { words } from '../words/words';
import { newKey, OPERATOR, type ChargeDraft } from './draft';
import { Choice, Item, PartyChoice, replaced, Typed, without, type Around } from './editor-parts';

const text = words.terms.charges;

interface ChargeFieldsProps {
  readonly around: Around;
  readonly charges: readonly ChargeDraft[];
  readonly onCharges: (charges: readonly ChargeDraft[]) => void;
}

/** What is taken before anything is shared, in its order. */
export function ChargeFields({ around, charges, onCharges }: ChargeFieldsProps) {
  const add = () =>
    onCharges([...charges, { id: newKey(charges), title: '', to: OPERATOR, scope: 'agreement', kind: 'amount', figure: '', per: 'week', of: 'net-takings', rest: 'lapse' }]);
  return (
    <>
      {charges.length === 0 ? <p>{words.terms.unsaid.charges}</p> : null}
      {charges.map((charge, index) => (
        <OneCharge key={charge.id} around={around} charge={charge} index={index} onCharge={(part) => onCharges(replaced(charges, index, part))} onRemove={() => onCharges(without(charges, index))} />
      ))}
      <div>
        <button type="button" className="button button-small" onClick={add}>
          {text.add}
        </button>
      </div>
    </>
  );
}

interface OneChargeProps {
  readonly around: Around;
  readonly charge: ChargeDraft;
  readonly index: number;
  readonly onCharge: (part: Partial<ChargeDraft>) => void;
  readonly onRemove: () => void;
}

function OneCharge({ around, charge, index, onCharge, onRemove }: OneChargeProps) {
  const place = `charges-${index}`;
  const { title, to, kind, figure, per, of, scope, rest } = charge;
  return (
    <Item around={around} place={place} legend={text.one(index + 1)} remove={text.remove(index + 1)} onRemove={onRemove}>
      <Typed around={around} place={`${place}-title`} label={text.title} value={title} onValue={(typed) => onCharge({ title: typed })} />
      <PartyChoice around={around} place={`${place}-to`} label={text.to} value={to} onValue={(party) => onCharge({ to: party })} />
      <Choice around={around} place={`${place}-kind`} label={text.kind} value={kind} texts={text.kinds} onValue={(chosen) => onCharge({ kind: chosen })} />
      <Typed around={around} place={`${place}-amount`} label={kind === 'amount' ? text.amount(around.currency) : text.percent} figure value={figure} onValue={(typed) => onCharge({ figure: typed })} />
      {kind === 'amount' ? (
        <Choice around={around} place={`${place}-per`} label={text.per} value={per} texts={words.terms.per} onValue={(chosen) => onCharge({ per: chosen })} />
      ) : (
        <Choice around={around} place={`${place}-of`} label={text.of} value={of} texts={text.ofs} onValue={(chosen) => onCharge({ of: chosen })} />
      )}
      <Choice around={around} place={`${place}-scope`} label={text.scope} value={scope} texts={text.scopes} onValue={(chosen) => onCharge({ scope: chosen })} />
      <Choice around={around} place={`${place}-rest`} label={text.rest} value={rest} texts={text.rests} onValue={(chosen) => onCharge({ rest: chosen })} />
    </Item>
  );
}
