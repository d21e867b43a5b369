import { SignaturePad } from '../keys/record/signature-pad';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import framed from '../parts/framed.module.css';
import { removeAround } from '../parts/move-focus';
import { SelectField } from '../parts/select-field';
import { words } from '../words/words';
import type { Counting, HandedDraft, VisitPlace } from './draft';
import { machinesToChoose } from './machine-options';

const text = words.phone.visit;

interface HandedProps {
  readonly stop: VisitPlace;
  readonly counting: Counting;
  readonly handed: readonly HandedDraft[];
  readonly errors: readonly FormError[];
  readonly onHanded: (handed: readonly HandedDraft[]) => void;
}

/** Cash that stays at the site, with who received it: their name, and a signature if they draw one. */
export function Handed({ stop, counting, handed, errors, onHanded }: HandedProps) {
  const change = (id: string, fields: Partial<HandedDraft>) => onHanded(handed.map((each) => (each.id === id ? { ...each, ...fields } : each)));
  return (
    <section className="stack" aria-labelledby="handed">
      <h2 id="handed">{text.handed}</h2>
      <p className="soft">{text.handedLead[counting]}</p>
      {handed.map(({ id, amount, receiver, strokes, machineTag = '', coin = '' }, index) => (
        <fieldset key={id} className={framed.box}>
          <legend>{text.handedOne(index + 1)}</legend>
          <Field id={`${id}-amount`} label={text.amount(stop.currency)} inputMode="decimal" autoComplete="off" error={errorAt(errors, `${id}-amount`)} value={amount} onValue={(typed) => change(id, { amount: typed })} />
          <SelectField
            id={`${id}-box`} label={text.outOf} hint={text.outOfHint} error={errorAt(errors, `${id}-box`)} value={machineTag} none={text.severalBoxes} options={machinesToChoose(stop, machineTag)}
            onValue={(tag) => change(id, { machineTag: tag })}
          />
          <Field id={`${id}-coin`} label={text.coinPart} hint={text.coinPartHint} inputMode="decimal" autoComplete="off" error={errorAt(errors, `${id}-coin`)} value={coin} onValue={(typed) => change(id, { coin: typed })} />
          <Field id={`${id}-receiver`} label={text.receiver} hint={text.receiverHint} autoComplete="off" error={errorAt(errors, `${id}-receiver`)} value={receiver} onValue={(name) => change(id, { receiver: name })} />
          <SignaturePad strokes={strokes} onStrokes={(drawn) => change(id, { strokes: drawn })} />
          <div>
            <button type="button" className="button-plain" onClick={({ currentTarget }) => removeAround(currentTarget, () => onHanded(handed.filter((each) => each.id !== id)))}>
              {text.remove}
              <span className="visually-hidden">{` ${text.handedOne(index + 1)}`}</span>
            </button>
          </div>
        </fieldset>
      ))}
      <div>
        <button type="button" className="button" onClick={() => onHanded([...handed, { id: crypto.randomUUID(), amount: '', receiver: '', strokes: [], machineTag: '', coin: '' }])}>
          {text.addHanded}
        </button>
      </div>
    </section>
  );
}
