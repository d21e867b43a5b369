import { useId, useState } from 'react';
import type { TrackedBag } from '../api/shapes';
import { Moment } from '../keys/parts';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { unless, useSending } from '../parts/use-sending';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

const text = words.cash.bags;
type Step = 'received' | 'opened';

/** Bags of the day with their seals; each next step is noted here. */
export function BagsSection({ bags }: { readonly bags: readonly TrackedBag[] }) {
  const { may } = useOperator();
  const [asked, setAsked] = useState<{ readonly bag: TrackedBag; readonly step: Step } | null>(null);
  const handles = may('bag.handle');
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
                  <th scope="row">{bag.number}</th>
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
                    </td>
                  ) : null}
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      )}
      {asked === null ? null : <RecordStep {...asked} onClose={() => setAsked(null)} />}
    </section>
  );
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
