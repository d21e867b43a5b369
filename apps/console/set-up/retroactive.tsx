import { errorAt } from '../parts/form';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import framed from '../parts/framed.module.css';
import { words } from '../words/words';

interface RetroactiveProps {
  readonly confirmId: string;
  readonly reasonId: string;
  readonly errors: readonly FormError[];
  readonly confirmed: boolean;
  readonly reason: string;
  readonly onConfirmed: (confirmed: boolean) => void;
  readonly onReason: (reason: string) => void;
}

/** Asked once the api has said that a change reaches into settled periods: nobody makes one without knowing. */
export function Retroactive({ confirmId, reasonId, errors, confirmed, reason, onConfirmed, onReason }: RetroactiveProps) {
  return (
    <div className="notice" role="group" aria-label={words.setUp.taxAreas.confirmRetroactive}>
      <p>{words.setUp.taxAreas.retroactive}</p>
      <label className={framed.tick}>
        <input id={confirmId} type="checkbox" checked={confirmed} onChange={(event) => onConfirmed(event.currentTarget.checked)} />
        {words.setUp.taxAreas.confirmRetroactive}
      </label>
      <Field id={reasonId} label={words.reason} maxLength={1000} error={errorAt(errors, reasonId)} value={reason} onValue={onReason} />
    </div>
  );
}
