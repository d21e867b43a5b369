import type { ReactNode } from 'react';
import { words } from '../words/words';
import { ErrorSummary, type FormError } from './error-summary';

interface FormProps {
  readonly errors: readonly FormError[];
  /** What a colleague changed meanwhile, from `useChangedMeanwhile`. */
  readonly conflict?: ReactNode;
  readonly busy: boolean;
  /** What the button does, in a verb. */
  readonly action: string;
  readonly onSubmit: () => void;
  /** What stands beside the button. */
  readonly beside?: ReactNode;
  readonly children: ReactNode;
}

/** A form whose refusals stand above it; what was typed stays where it is. */
export function Form({ errors, conflict, busy, action, onSubmit, beside, children }: FormProps) {
  return (
    <form
      className="form"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (!busy) onSubmit();
      }}
    >
      {conflict}
      <ErrorSummary errors={errors} />
      {children}
      <div className="row">
        <button type="submit" className="button button-main" aria-disabled={busy}>
          {busy ? words.working : action}
        </button>
        {beside}
      </div>
    </form>
  );
}

/** Message for the field, if it has one. */
export function errorAt(errors: readonly FormError[], fieldId: string): string | undefined {
  return errors.find((each) => each.fieldId === fieldId)?.message;
}
