import type { InputHTMLAttributes } from 'react';
import { Labelled } from './labelled';

interface FieldProps extends Omit<InputHTMLAttributes<HTMLInputElement>, 'onChange' | 'id'> {
  readonly id: string;
  readonly label: string;
  readonly hint?: string | undefined;
  readonly error?: string | undefined;
  readonly onValue: (value: string) => void;
}

/** One line of input with its label, hint and error tied to it. */
export function Field({ id, label, hint, error, onValue, ...input }: FieldProps) {
  return <Labelled id={id} label={label} hint={hint} error={error} control={(tied) => <input {...input} {...tied} onChange={(event) => onValue(event.currentTarget.value)} />} />;
}
