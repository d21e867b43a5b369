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
  readonly error: unknown;
  /** Where a refusal leads on to. */
  readonly beside?: ReactNode;
  /** What is missing in the fields that it asks for. */
  readonly missing?: readonly FormError[];
  readonly onConfirm: () => void;
  readonly onClose: () => void;
  readonly children: ReactNode;
}

/** Asks before something that many rows or other people will feel, and shows there and then if it was refused. */
export function Confirm({ title, action, busy, error, beside, missing = [], onConfirm, onClose, children }: ConfirmProps) {
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
        <ErrorSummary errors={missing} />
        {children}
        {error === null || error === undefined ? null : <TroubleNotice error={error} />}
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
