import type { ReactNode } from 'react';
import { words } from '../words/words';
import { Dialog } from './dialog';
import { ErrorSummary, type FormError } from './error-summary';
import { TroubleNotice } from './trouble';

interface ConfirmProps {
  readonly title: string;
  /** What the button does, in a verb. */
  readonly action: string;
  readonly busy: boolean;
  /** A refusal that is about no field; those are among `wrong`. */
  readonly error: unknown;
  /** Where a refusal leads on to. */
  readonly beside?: ReactNode;
  /** What is wrong with the fields that it asks for. */
  readonly wrong?: readonly FormError[];
  readonly onConfirm: () => void;
  readonly onClose: () => void;
  readonly children: ReactNode;
}

/** Asks before something that many rows or other people will feel, and shows there and then if it was refused. */
export function Confirm({ title, action, busy, error, beside, wrong = [], onConfirm, onClose, children }: ConfirmProps) {
  return (
    <Dialog title={title} onClose={onClose} canClose={!busy}>
      <form
        className="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          if (!busy) onConfirm();
        }}
      >
        <ErrorSummary errors={wrong} />
        {children}
        {error === null || error === undefined || wrong.length > 0 ? null : <TroubleNotice error={error} />}
        {beside}
        <div className="row">
          <button type="submit" className="button button-main" aria-disabled={busy}>
            {busy ? words.working : action}
          </button>
          <button type="button" className="button" onClick={onClose} disabled={busy}>
            {words.cancel}
          </button>
        </div>
      </form>
    </Dialog>
  );
}
