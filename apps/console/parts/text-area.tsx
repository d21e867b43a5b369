import { Labelled } from './labelled';

interface TextAreaProps {
  readonly id: string;
  readonly label: string;
  readonly hint?: string | undefined;
  readonly error?: string | undefined;
  readonly value: string;
  readonly rows?: number;
  readonly onValue: (value: string) => void;
}

/** Several lines of input with their label, hint and error tied to them. */
export function TextArea({ id, label, hint, error, value, rows = 3, onValue }: TextAreaProps) {
  return <Labelled id={id} label={label} hint={hint} error={error} control={(tied) => <textarea {...tied} rows={rows} value={value} onChange={(event) => onValue(event.currentTarget.value)} />} />;
}
