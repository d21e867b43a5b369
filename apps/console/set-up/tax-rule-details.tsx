import type { CurrencyCode } from '#domain/money/currency';
import { locale } from '../format/locale';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import framed from '../parts/framed.module.css';
import { removeAround } from '../parts/move-focus';
import { SelectField } from '../parts/select-field';
import styles from '../terms/terms.module.css';
import { words } from '../words/words';
import { newPart, type ComponentDraft, type DetailsDraft, type Method } from './tax-rule-draft';

const text = words.setUp.taxAreas;

interface Bound {
  readonly id: string;
  readonly currency: CurrencyCode;
  readonly errors: readonly FormError[];
}

interface TaxPartsProps extends Bound {
  readonly components: readonly ComponentDraft[];
  readonly isFixed: boolean;
  /** A machine that comes later in the year may owe another amount. */
  readonly mayDiffer: boolean;
  readonly onComponents: (components: readonly ComponentDraft[]) => void;
}

/** The figure of a tax, or one for each of its parts, such as state and county. */
export function TaxParts({ id, components, isFixed, mayDiffer, currency, errors, onComponents }: TaxPartsProps) {
  const change = (changed: ComponentDraft, part: Partial<ComponentDraft>) => onComponents(components.map((each) => (each === changed ? { ...each, ...part } : each)));
  const figureLabel = isFixed ? text.amount(currency) : text.percent;
  const fieldsOf = (component: ComponentDraft, index: number) => {
    const field = (name: 'title' | 'figure' | 'laterFigure') => ({
      id: `${id}-${name}-${String(index)}`, value: component[name], error: errorAt(errors, `${id}-${name}-${String(index)}`), onValue: (value: string) => change(component, { [name]: value }), autoComplete: 'off',
    });
    return (
      <>
        {components.length === 1 ? null : <Field {...field('title')} label={text.partName} maxLength={200} />}
        <Field {...field('figure')} label={figureLabel} inputMode="decimal" />
        {mayDiffer ? (
          <>
            <Field {...field('laterFigure')} label={text.laterAmount(currency)} hint={text.laterAmountHint} inputMode="decimal" />
            {component.laterFigure.trim() === '' ? null : (
              <DayOfYear
                id={`${id}-laterDay-${String(index)}`} label={text.laterFrom} month={component.laterMonth} day={component.laterDay} errors={errors}
                onMonth={(laterMonth) => change(component, { laterMonth })} onDay={(laterDay) => change(component, { laterDay })}
              />
            )}
          </>
        ) : null}
      </>
    );
  };
  return (
    <>
      {components.map((component, index) =>
        components.length === 1 ? (
          <div key={component.id} className="stack">{fieldsOf(component, index)}</div>
        ) : (
          <fieldset key={component.id} className={styles.item}>
            <legend>{text.part(index + 1)}</legend>
            {fieldsOf(component, index)}
            <div>
              <button type="button" className="button button-small" onClick={({ currentTarget }) => removeAround(currentTarget, () => onComponents(components.filter((each) => each !== component)))}>
                {text.removePart(index + 1)}
              </button>
            </div>
          </fieldset>
        ),
      )}
      <div>
        <button type="button" className="button button-small" onClick={() => onComponents([...components, newPart(nextNumber(components))])}>
          {text.addPart}
        </button>
      </div>
    </>
  );
}

/** No part gets the id of another, of one that was removed neither. */
function nextNumber(components: readonly ComponentDraft[]): number {
  return Math.max(components.length, ...components.map(({ id }) => Number(/^part-(\d+)$/.exec(id)?.[1] ?? '0'))) + 1;
}

interface TaxDetailsProps extends Bound {
  readonly details: DetailsDraft;
  readonly method: Method;
  readonly onChange: (part: Partial<DetailsDraft>) => void;
}

/** Folded away unless something of it is set, or wrong. */
export function TaxDetails({ id, details, method, currency, errors, onChange }: TaxDetailsProps) {
  const places = ['kinds', 'cap', 'dueDay'].map((name) => `${id}-${name}`);
  const isOpen = details.kinds !== '' || details.cap !== '' || details.negative !== 'zero' || details.timing !== 'by-days-covered' || errors.some(({ fieldId }) => fieldId !== null && places.includes(fieldId));
  const choice = <Name extends 'negative' | 'rounding' | 'timing'>(name: Name, label: string, texts: Readonly<Record<DetailsDraft[Name], string>>) => {
    const values = Object.keys(texts) as DetailsDraft[Name][];
    return <SelectField id={`${id}-${name}`} label={label} value={details[name]} options={values.map((value) => ({ value, text: texts[value] }))} onValue={(value) => onChange({ [name]: values.find((each) => each === value) ?? details[name] })} />;
  };
  return (
    <details open={isOpen}>
      <summary>{text.details}</summary>
      <div className="stack">
        <Field id={`${id}-kinds`} label={text.kinds} hint={text.kindsHint} autoComplete="off" error={errorAt(errors, `${id}-kinds`)} value={details.kinds} onValue={(kinds) => onChange({ kinds })} />
        {method === 'fixed' ? (
          <>
            {choice('timing', text.timing, text.timings)}
            {details.timing === 'when-due' ? (
              <>
                <DayOfYear id={`${id}-dueDay`} label={text.dueOn} month={details.dueMonth} day={details.dueDay} errors={errors} onMonth={(dueMonth) => onChange({ dueMonth })} onDay={(dueDay) => onChange({ dueDay })} />
                <label className={framed.tick}>
                  <input type="checkbox" checked={details.onPlacement} onChange={(event) => onChange({ onPlacement: event.currentTarget.checked })} />
                  {text.onPlacement}
                </label>
              </>
            ) : null}
          </>
        ) : (
          <>
            <Field id={`${id}-cap`} label={text.cap(currency)} hint={text.capHint} inputMode="decimal" autoComplete="off" error={errorAt(errors, `${id}-cap`)} value={details.cap} onValue={(cap) => onChange({ cap })} />
            {choice('negative', text.negative, text.negatives)}
            {method === 'on-takings' ? choice('rounding', text.rounding, text.roundings) : null}
          </>
        )}
      </div>
    </details>
  );
}

const months = Array.from({ length: 12 }, (_, index) => ({ value: String(index + 1), text: new Intl.DateTimeFormat(locale, { month: 'long', timeZone: 'UTC' }).format(new Date(Date.UTC(2023, index, 1))) }));

interface DayOfYearProps {
  /** Of the field for the day, which tells what is wrong. */
  readonly id: string;
  readonly label: string;
  readonly month: string;
  readonly day: string;
  readonly errors: readonly FormError[];
  readonly onMonth: (month: string) => void;
  readonly onDay: (day: string) => void;
}

/** A day of every year. */
function DayOfYear({ id, label, month, day, errors, onMonth, onDay }: DayOfYearProps) {
  return (
    <div role="group" aria-label={label} className={styles.fields}>
      <SelectField id={`${id}-month`} label={text.monthOf(label)} value={month} options={months} onValue={onMonth} />
      <Field id={id} label={text.dayInMonth} inputMode="numeric" autoComplete="off" maxLength={2} error={errorAt(errors, id)} value={day} onValue={onDay} />
    </div>
  );
}
