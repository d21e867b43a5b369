import { useId, useState } from 'react';
import type { TrackedBag } from '../api/shapes';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Moment } from '../keys/parts';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { unless, useSending } from '../parts/use-sending';
import { Wide } from '../parts/wide';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

const text = words.cash.bags;
type Step = 'received' | 'opened';

/** Bags of the day with their seals; each next step is noted here. */
export function BagsSection({ bags }: { readonly bags: readonly TrackedBag[] }) {
  const { may } = useOperator();
  const [asked, setAsked] = useState<{ readonly bag: TrackedBag; readonly step: Step } | null>(null);
  const [wrong, setWrong] = useState<TrackedBag | null>(null);
  const [handles, corrects] = [may('bag.handle'), may('bag.correct')];
  return (
    <section className="section" aria-labelledby="bags">
      <h2 id="bags">{text.title}</h2>
      {bags.length === 0 ? (
        <p className="soft">{text.none}</p>
      ) : (
        <Wide title={text.title}>
          <table>
            <caption className="visually-hidden">{text.title}</caption>
            <thead>
              <tr>
                <th scope="col">{text.number}</th>
                <th scope="col">{words.site}</th>
                <th scope="col">{text.seal}</th>
                <th scope="col">{text.received}</th>
                <th scope="col">{text.opened}</th>
                <th scope="col">{text.state}</th>
                {handles ? <th scope="col">{words.commands}</th> : null}
              </tr>
            </thead>
            <tbody>
              {bags.map((bag) => (
                <tr key={bag.id}>
                  <th scope="row">
                    {bag.number}
                    <Corrections bag={bag} />
                  </th>
                  <td>{bag.siteCode}</td>
                  <td>{bag.seal}</td>
                  <td>
                    <SealFound step={bag.received} put={bag.seal} />
                  </td>
                  <td>
                    <SealFound step={bag.opened} put={bag.seal} />
                  </td>
                  <td>{bag.finding === null ? (bag.withdrawn ? text.withdrawn : text.fine) : <span className="state state-alarm">{text.finding[bag.finding]}</span>}</td>
                  {handles ? (
                    <td>
                      <NextStep bag={bag} onStep={(step) => setAsked({ bag, step })} />
                      {corrects && !bag.withdrawn ? (
                        <button type="button" className="button button-small" aria-label={text.correctFor(bag.number)} onClick={() => setWrong(bag)}>
                          {text.correct}
                        </button>
                      ) : null}
                    </td>
                  ) : null}
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      )}
      {asked === null ? null : <RecordStep {...asked} onClose={() => setAsked(null)} />}
      {wrong === null ? null : <CorrectBag bag={wrong} onClose={() => setWrong(null)} />}
    </section>
  );
}

/** What was read wrong, with who put it right, when and why. */
function Corrections({ bag }: { readonly bag: TrackedBag }) {
  const actorName = useActorName();
  return bag.corrections.map(({ id, what, was, reason, recordedAt, recordedBy, withoutSecondPerson }) => (
    <div key={id} className="soft small">
      {[text.was({ what: text.parts[what], was: [was.number, was.seal].filter((each) => each !== null).join(', '), moment: formatInstant(recordedAt, locale), by: actorName(recordedBy), reason }), ...(withoutSecondPerson ? [words.entered.alone] : [])].join(' ')}
    </div>
  ));
}

function SealFound({ step, put }: { readonly step: TrackedBag['received']; readonly put: string }) {
  if (step === null) return null;
  return (
    <>
      <Moment instant={step.happenedAt} />
      {step.seal === put ? null : <div className="small state-alarm">{`${text.seal} ${step.seal}`}</div>}
    </>
  );
}

function NextStep({ bag, onStep }: { readonly bag: TrackedBag; readonly onStep: (step: Step) => void }) {
  const step = bag.received === null ? 'received' : bag.opened === null ? 'opened' : null;
  if (step === null || bag.withdrawn) return null;
  return (
    <button type="button" className="button button-small" aria-label={text.stepFor[step](bag.number)} onClick={() => onStep(step)}>
      {text.step[step]}
    </button>
  );
}

function RecordStep({ bag, step, onClose }: { readonly bag: TrackedBag; readonly step: Step; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const [seal, setSeal] = useState('');
  const fields = { seal: `${id}-seal` };
  const { errors, busy, submit } = useSending({ send: api.recordBagStep, fields, changes: [['cash']], onDone: onClose });
  return (
    <FormDialog
      title={text.stepFor[step](bag.number)} errors={errors} busy={busy} action={text.step[step]} onClose={onClose}
      onSubmit={() => submit({ id: bag.id, kind: step, seal: seal.trim() }, [unless(seal.trim() !== '', fields.seal, text.sealMissing)])}
    >
      <Field id={fields.seal} label={text.sealFound} hint={text.sealHint} autoComplete="off" maxLength={60} error={errorAt(errors, fields.seal)} value={seal} onValue={setSeal} />
    </FormDialog>
  );
}

/** What is right in the place of what was read wrong. Which of the seals it is says who has to explain what a bag lacks. */
function CorrectBag({ bag, onClose }: { readonly bag: TrackedBag; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const stands = { filled: bag.seal, received: bag.received?.seal, opened: bag.opened?.seal };
  const parts = (['filled', 'received', 'opened'] as const).filter((part) => stands[part] !== undefined);
  const [what, setWhat] = useState<(typeof parts)[number]>('filled');
  const [number, setNumber] = useState(bag.number);
  const [seal, setSeal] = useState('');
  const [reason, setReason] = useState('');
  const fields = { what: `${id}-what`, number: `${id}-number`, seal: `${id}-seal`, reason: `${id}-reason` };
  const { errors, busy, submit } = useSending({ send: api.correctBag, fields, changes: [['cash'], ['collections']], onDone: onClose });
  const missing = [unless(what !== 'filled' || number.trim() !== '', fields.number, words.phone.errors['bag-missing']), unless(seal.trim() !== '', fields.seal, text.sealMissing), unless(reason.trim().length >= 3, fields.reason, words.reasonMissing)];
  return (
    <FormDialog
      title={text.correctFor(bag.number)} lead={text.correctLead} errors={errors} busy={busy} action={text.correct} onClose={onClose}
      onSubmit={() => submit({ id: bag.id, what, ...(what === 'filled' ? { number: number.trim() } : {}), seal: seal.trim(), reason: reason.trim() }, missing)}
    >
      <SelectField id={fields.what} label={text.whatWrong} value={what} options={parts.map((part) => ({ value: part, text: `${text.parts[part]} (${stands[part] ?? ''})` }))} onValue={(value) => setWhat(parts.find((part) => part === value) ?? what)} />
      {what === 'filled' ? <Field id={fields.number} label={text.number} autoComplete="off" maxLength={60} error={errorAt(errors, fields.number)} value={number} onValue={setNumber} /> : null}
      <Field id={fields.seal} label={text.sealRight} autoComplete="off" maxLength={60} error={errorAt(errors, fields.seal)} value={seal} onValue={setSeal} />
      <Field id={fields.reason} label={words.reason} autoComplete="off" maxLength={1000} error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
    </FormDialog>
  );
}
