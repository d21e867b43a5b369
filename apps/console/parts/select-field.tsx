import type { ReactNode } from 'react';
import { words } from '../words/words';
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
  /** The options are on their way: it says so, and takes the focus all the same, which a disabled one would lose. */
  readonly isLoading?: boolean | undefined;
  readonly onValue: (value: string) => void;
  /** What to do where the fitting one is not among them. */
  readonly children?: ReactNode;
}

/** One of several, with its label, hint and error tied to it. */
export function SelectField({ id, label, hint, error, value, options, none, isLoading = false, onValue, children }: SelectFieldProps) {
  return (
    <Labelled
      id={id}
      label={label}
      hint={hint}
      error={error}
      control={(tied) => (
        <select {...tied} aria-busy={isLoading} value={value} onChange={(event) => onValue(event.currentTarget.value)}>
          {isLoading ? <option value="">{words.loading}</option> : none === undefined ? null : <option value="">{none}</option>}
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
