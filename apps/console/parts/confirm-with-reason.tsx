import { useId, useState, type ReactNode } from 'react';
import { words } from '../words/words';
import { Confirm } from './confirm';
import type { FormError } from './error-summary';
import type { Said } from './field-words';

interface ConfirmWithReasonProps {
  readonly title: string;
  /** What will happen. */
  readonly what: string;
  /** What it will happen to, one by one. */
  readonly named?: readonly Said[];
  /** What the button does, in a verb. */
  readonly action: string;
  /** What the words are, where they are no reason. */
  readonly label?: string;
  readonly busy: boolean;
  readonly error: unknown;
  /** Where a refusal leads on to. */
  readonly beside?: ReactNode;
  readonly onConfirm: (reason: string) => void;
  readonly onClose: () => void;
}

/** As the api asks for it. */
const SHORTEST_REASON = 3;
const LONGEST_REASON = 1000;

/** Asks before something that stays on record with its reason, and does not go on without one. */
export function ConfirmWithReason({ title, what, named = [], action, label = words.reason, busy, error, beside, onConfirm, onClose }: ConfirmWithReasonProps) {
  const fieldId = useId();
  const [reason, setReason] = useState('');
  const [missing, setMissing] = useState<readonly FormError[]>([]);
  const isMissing = missing.length > 0;
  const submit = () => {
    const isTooShort = reason.trim().length < SHORTEST_REASON;
    setMissing(isTooShort ? [{ fieldId, message: words.reasonMissing }] : []);
    if (!isTooShort) onConfirm(reason);
  };
  return (
    <Confirm title={title} action={action} busy={busy} error={error} beside={beside} missing={missing} onConfirm={submit} onClose={onClose}>
      <p>{what}</p>
      {named.length === 0 ? null : (
        <ul>
          {named.map(({ message, isEnglish }) => (
            <li key={message} lang={isEnglish ? 'en' : undefined}>
              {message}
            </li>
          ))}
        </ul>
      )}
      <div className="field">
        <label htmlFor={fieldId}>{label}</label>
        {isMissing ? (
          <span id={`${fieldId}-error`} className="field-error">
            {words.reasonMissing}
          </span>
        ) : null}
        <textarea
          id={fieldId} rows={3} maxLength={LONGEST_REASON} value={reason}
          aria-required="true" aria-invalid={isMissing} aria-describedby={isMissing ? `${fieldId}-error` : undefined}
          onChange={(event) => setReason(event.currentTarget.value)}
        />
      </div>
    </Confirm>
  );
}
