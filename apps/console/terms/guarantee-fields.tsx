import { words } from '../words/words';
import { newKey, OPERATOR, SITE, type GuaranteeDraft } from './draft';
import { Choice, Item, PartyChoice, replaced, Typed, without, type Around } from './editor-parts';

const text = words.terms.guarantees;
const { amount, scope: meant, scopes } = words.terms.charges;
const { week, month, year, period } = words.terms.per;

interface GuaranteeFieldsProps {
  readonly around: Around;
  readonly guarantees: readonly GuaranteeDraft[];
  readonly onGuarantees: (guarantees: readonly GuaranteeDraft[]) => void;
}

/** What a party has at least or at most, in the order in which it is tested. */
export function GuaranteeFields({ around, guarantees, onGuarantees }: GuaranteeFieldsProps) {
  const add = () => onGuarantees([...guarantees, { id: newKey(guarantees), kind: 'at-least', party: SITE, amount: '', per: 'month', scope: 'agreement', from: 'others', excessTo: OPERATOR }]);
  return (
    <>
      {guarantees.length === 0 ? <p>{words.terms.unsaid.guarantees}</p> : null}
      {guarantees.map((guarantee, index) => {
        const place = `guarantees-${index}`;
        const set = (part: Partial<GuaranteeDraft>) => onGuarantees(replaced(guarantees, index, part));
        return (
          <Item key={guarantee.id} around={around} place={place} legend={text.one(index + 1)} remove={text.remove(index + 1)} onRemove={() => onGuarantees(without(guarantees, index))}>
            <Choice around={around} place={`${place}-kind`} label={text.kind} value={guarantee.kind} texts={text.kinds} onValue={(kind) => set({ kind })} />
            <PartyChoice around={around} place={`${place}-party`} label={text.party} value={guarantee.party} onValue={(party) => set({ party })} />
            <Typed around={around} place={`${place}-amount`} label={amount(around.currency)} figure value={guarantee.amount} onValue={(typed) => set({ amount: typed })} />
            <Choice around={around} place={`${place}-per`} label={text.per} value={guarantee.per} texts={{ week, month, year, period }} onValue={(per) => set({ per })} />
            <Choice around={around} place={`${place}-scope`} label={meant} value={guarantee.scope} texts={scopes} onValue={(scope) => set({ scope })} />
            {guarantee.kind === 'at-least' ? (
              <Choice around={around} place={`${place}-from`} label={text.from} value={guarantee.from} texts={text.froms} onValue={(from) => set({ from })} />
            ) : (
              <PartyChoice around={around} place={`${place}-excessTo`} label={text.excessTo} value={guarantee.excessTo} onValue={(excessTo) => set({ excessTo })} />
            )}
          </Item>
        );
      })}
      <div>
        <button type="button" className="button button-small" onClick={add}>
          {text.add}
        </button>
      </div>
    </>
  );
}
