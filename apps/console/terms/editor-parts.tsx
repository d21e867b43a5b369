import type { ReactNode } from 'react';
import { errorAt } from '../parts/form';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { removeAround } from '../parts/move-focus';
import { SelectField } from '../parts/select-field';
import styles from './terms.module.css';

/** What every part of the editor needs to know. */
export interface Around {
  /** Fields go by their place below it: `<id>-split-shares-0-percent`. */
  readonly id: string;
  readonly parties: readonly { readonly id: string; readonly name: string }[];
  readonly currency: string;
  readonly errors: readonly FormError[];
}

interface ChoiceProps<Value extends string> {
  readonly around: Around;
  readonly place: string;
  readonly label: string;
  readonly value: Value;
  /** Texts of the possible values, in their order. */
  readonly texts: Readonly<Record<Value, string>>;
  readonly onValue: (value: Value) => void;
}

/** One of a few values that the terms know. */
export function Choice<Value extends string>({ around: { id, errors }, place, label, value, texts, onValue }: ChoiceProps<Value>) {
  const fieldId = `${id}-${place}`;
  const values = Object.keys(texts) as Value[];
  return (
    <SelectField
      id={fieldId} label={label} value={value} error={errorAt(errors, fieldId)} options={values.map((each) => ({ value: each, text: texts[each] }))}
      onValue={(chosen) => onValue(values.find((each) => each === chosen) ?? value)}
    />
  );
}

interface TypedProps {
  readonly around: Around;
  readonly place: string;
  readonly label: string;
  readonly value: string;
  readonly onValue: (value: string) => void;
  /** A figure, for which a phone shows the keys of figures. */
  readonly figure?: boolean;
}

export function Typed({ around: { id, errors }, place, label, value, onValue, figure = false }: TypedProps) {
  const fieldId = `${id}-${place}`;
  return <Field id={fieldId} label={label} error={errorAt(errors, fieldId)} autoComplete="off" {...(figure ? { inputMode: 'decimal' } : { maxLength: 120 })} value={value} onValue={onValue} />;
}

interface PartyChoiceProps {
  readonly around: Around;
  readonly place: string;
  readonly label: string;
  readonly value: string;
  readonly onValue: (party: string) => void;
}

export function PartyChoice({ around, place, label, value, onValue }: PartyChoiceProps) {
  const fieldId = `${around.id}-${place}`;
  return <SelectField id={fieldId} label={label} value={value} error={errorAt(around.errors, fieldId)} options={around.parties.map(({ id, name }) => ({ value: id, text: name }))} onValue={onValue} />;
}

interface ItemProps {
  readonly around: Around;
  readonly place: string;
  readonly legend: string;
  readonly remove: string | null;
  readonly onRemove: () => void;
  readonly children: ReactNode;
}

/** One of a list, with the way to take it out. */
export function Item({ around, place, legend, remove, onRemove, children }: ItemProps) {
  return (
    <fieldset className={styles.item} id={`${around.id}-${place}`} tabIndex={-1}>
      <legend>{legend}</legend>
      <div className={styles.fields}>{children}</div>
      {remove === null ? null : (
        <div>
          <button type="button" className="button button-small" onClick={({ currentTarget }) => removeAround(currentTarget, onRemove)}>
            {remove}
          </button>
        </div>
      )}
    </fieldset>
  );
}

/** The list with one of its things in another state. */
export function replaced<Thing>(list: readonly Thing[], index: number, part: Partial<Thing>): Thing[] {
  return list.map((each, at) => (at === index ? { ...each, ...part } : each));
}

export function without<Thing>(list: readonly Thing[], index: number): Thing[] {
  return list.filter((_each, at) => at !== index);
}
