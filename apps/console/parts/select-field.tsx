import type { ReactNode } from 'react';
import { Labelled } from './labelled';

export interface Option {
  readonly value: string;
  readonly text: string;
}

interface SelectFieldProps {
  readonly id: string;
  readonly label: string;
  readonly hint?: string | undefined;
  readonly error?: string | undefined;
  readonly value: string;
  readonly options: readonly Option[];
  /** What stands for nothing chosen; left out where something always is. */
  readonly none?: string | undefined;
  readonly onValue: (value: string) => void;
  /** What to do where the fitting one is not among them. */
  readonly children?: ReactNode;
}

/** One of several, with its label, hint and error tied to it. */
export function SelectField({ id, label, hint, error, value, options, none, onValue, children }: SelectFieldProps) {
  return (
    <Labelled
      id={id}
      label={label}
      hint={hint}
      error={error}
      control={(tied) => (
        <select {...tied} value={value} onChange={(event) => onValue(event.currentTarget.value)}>
          {none === undefined ? null : <option value="">{none}</option>}
          {options.map((option) => (
            <option key={option.value} value={option.value}>
              {option.text}
            </option>
          ))}
        </select>
      )}
    >
      {children}
    </Labelled>
  );
}
