import { useId, useState, type ReactNode } from 'react';
import { LEAST_SLACK_PERCENT, MOST_SLACK_PERCENT } from '#domain/counting/pieces';
import type { Policies } from '../api/shapes';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { unless, useSending } from '../parts/use-sending';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { policyKey } from './queries';
import styles from './set-up/set-up.module.css';

const text = words.keyPolicy;
const intervals = [1, 3, 6] as const;
const MOST_HOURS = 720;

/** Asks for every rule at once, as they are: a decision says how all of them hold from then on. */
export function ChangePolicy({ policies, onClose }: { readonly policies: Policies; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const { current, secondPeople } = policies;
  const [rules, setRules] = useState({ directHandOver: current.directHandOver, custodianApart: current.custodianApart, inventoryEveryMonths: current.inventoryEveryMonths });
  const [hours, setHours] = useState(String(current.acknowledgeWithinHours));
  const [percent, setPercent] = useState(String(current.weighWithinPercent));
  const [isAlone, setAlone] = useState(current.onePersonReviewOn !== null);
  const [reviewOn, setReviewOn] = useState(current.onePersonReviewOn ?? '');
  const [reason, setReason] = useState('');
  const fields = {
    directHandOver: `${id}-hand`, custodianApart: `${id}-custodian`, acknowledgeWithinHours: `${id}-hours`, inventoryEveryMonths: `${id}-every`, weighWithinPercent: `${id}-weighing`,
    onePersonReviewOn: `${id}-review`, reason: `${id}-reason`,
  };
  const { errors, busy, submit } = useSending({ send: api.decidePolicy, fields, changes: [policyKey], onDone: onClose });
  const isWhole = /^\d{1,3}$/.test(hours.trim()) && Number(hours) >= 1 && Number(hours) <= MOST_HOURS;
  const isPercent = /^\d{1,2}$/.test(percent.trim()) && Number(percent) >= LEAST_SLACK_PERCENT && Number(percent) <= MOST_SLACK_PERCENT;
  const send = () =>
    submit({ ...rules, acknowledgeWithinHours: Number(hours), weighWithinPercent: Number(percent), onePersonReviewOn: isAlone ? reviewOn : null, reason }, [
      unless(isWhole, fields.acknowledgeWithinHours, text.form.hoursWrong),
      unless(isPercent, fields.weighWithinPercent, text.form.weighingWrong),
      unless(!isAlone || reviewOn !== '', fields.onePersonReviewOn, text.form.reviewMissing),
      unless(reason.trim().length >= 3, fields.reason, words.reasonMissing),
    ]);
  const say = text.form;
  return (
    <FormDialog title={text.change} lead={text.changeLead} errors={errors} busy={busy} action={text.save} onSubmit={send} onClose={onClose}>
      <Choices legend={say.keys}>
        <Choice id={fields.directHandOver} says={say.handOver} hint={say.handOverHint} checked={rules.directHandOver} onChecked={(directHandOver) => setRules({ ...rules, directHandOver })} />
        <Choice id={fields.custodianApart} says={say.custodian} hint={say.custodianHint} checked={!rules.custodianApart} onChecked={(both) => setRules({ ...rules, custodianApart: !both })} />
      </Choices>
      <Field
        id={fields.acknowledgeWithinHours} label={say.hours} hint={say.hoursHint} inputMode="numeric" autoComplete="off"
        error={errorAt(errors, fields.acknowledgeWithinHours)} value={hours} onValue={setHours}
      />
      <SelectField
        id={fields.inventoryEveryMonths} label={say.counting} value={String(rules.inventoryEveryMonths)} options={intervals.map((each) => ({ value: String(each), text: say.every[each] }))}
        onValue={(value) => setRules({ ...rules, inventoryEveryMonths: intervals.find((each) => String(each) === value) ?? rules.inventoryEveryMonths })}
      />
      <Field
        id={fields.weighWithinPercent} label={say.weighing} hint={say.weighingHint} inputMode="numeric" autoComplete="off"
        error={errorAt(errors, fields.weighWithinPercent)} value={percent} onValue={setPercent}
      />
      <Choices legend={say.people}>
        <Choice id={`${id}-alone`} says={say.alone} hint={secondPeople.length > 1 ? say.others(secondPeople.join(', ')) : say.aloneHint} checked={isAlone} onChecked={setAlone} />
      </Choices>
      {isAlone ? (
        <Field id={fields.onePersonReviewOn} type="date" label={say.reviewOn} hint={say.reviewHint} error={errorAt(errors, fields.onePersonReviewOn)} value={reviewOn} onValue={setReviewOn} />
      ) : null}
      <Field id={fields.reason} label={words.reason} hint={words.keySetUp.reasonHint} autoComplete="off" error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
    </FormDialog>
  );
}

function Choices({ legend, children }: { readonly legend: string; readonly children: ReactNode }) {
  return (
    <fieldset className={styles.choices}>
      <legend>{legend}</legend>
      {children}
    </fieldset>
  );
}

interface ChoiceProps {
  readonly id: string;
  readonly says: string;
  readonly hint: string;
  readonly checked: boolean;
  readonly onChecked: (checked: boolean) => void;
}

function Choice({ id, says, hint, checked, onChecked }: ChoiceProps) {
  return (
    <label>
      <input id={id} type="checkbox" checked={checked} onChange={(event) => onChecked(event.currentTarget.checked)} />
      <span>
        {says}
        <br />
        <span className="soft small">{hint}</span>
      </span>
    </label>
  );
}
