import { useRef, type ReactNode } from 'react';
import { words } from '../words/words';
import { Dialog } from './dialog';
import type { FormError } from './error-summary';
import { Form } from './form';
import { leadTo, Needs, standing, type Need } from './needs';

interface FormDialogProps {
  readonly title: string;
  readonly lead?: string | undefined;
  readonly errors: readonly FormError[];
  /** What a colleague changed meanwhile, from `useChangedMeanwhile`. */
  readonly conflict?: ReactNode;
  readonly busy: boolean;
  /** What it has to know: until that is there it cannot be sent, and the way out is open. */
  readonly needs?: readonly Need[];
  /** What the button does, in a verb. */
  readonly action: string;
  readonly onSubmit: () => void;
  /** Another way to send it, between the button and the way out. */
  readonly also?: ReactNode;
  readonly onClose: () => void;
  readonly children: ReactNode;
}

/** A form over the page, with the way out beside its button. */
export function FormDialog({ title, lead, errors, conflict, busy, needs = [], action, onSubmit, also, onClose, children }: FormDialogProps) {
  const inTheWay = standing(needs);
  const place = useRef<HTMLDivElement>(null);
  return (
    <Dialog title={title} onClose={onClose} canClose={!busy}>
      {lead === undefined ? null : <p className="soft">{lead}</p>}
      <Form
        errors={errors} conflict={conflict} busy={busy || inTheWay === 'loading'} action={action} onSubmit={() => (inTheWay === null ? onSubmit() : leadTo(place.current))}
        beside={
          <>
            {also}
            <button type="button" className="button" onClick={onClose} disabled={busy}>
              {words.cancel}
            </button>
          </>
        }
      >
        <Needs ref={place} needs={needs} />
        {children}
      </Form>
    </Dialog>
  );
}
