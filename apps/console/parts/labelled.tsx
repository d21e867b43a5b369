import type { ReactNode } from 'react';

interface LabelledProps {
  readonly id: string;
  readonly label: string;
  readonly hint?: string | undefined;
  readonly error?: string | undefined;
  /** The control itself, with the attributes that tie hint and error to it. */
  readonly control: (tied: { readonly id: string; readonly 'aria-invalid': boolean; readonly 'aria-describedby': string | undefined }) => ReactNode;
  readonly children?: ReactNode;
}

/** A control with its label, hint and error tied to it. */
export function Labelled({ id, label, hint, error, control, children }: LabelledProps) {
  const describedBy = [hint === undefined ? null : `${id}-hint`, error === undefined ? null : `${id}-error`].filter((each) => each !== null).join(' ');
  return (
    <div className="field">
      <label htmlFor={id}>{label}</label>
      {hint === undefined ? null : (
        <span id={`${id}-hint`} className="field-hint">
          {hint}
        </span>
      )}
      {error === undefined ? null : (
        <span id={`${id}-error`} className="field-error">
          {error}
        </span>
      )}
      {control({ id, 'aria-invalid': error !== undefined, 'aria-describedby': describedBy === '' ? undefined : describedBy })}
      {children}
    </div>
  );
}
