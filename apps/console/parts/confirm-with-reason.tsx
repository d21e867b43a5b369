import { useId, useMemo, useState, type ReactNode } from 'react';
import { troubleOf } from '../api/problem';
import { words } from '../words/words';
import { Confirm } from './confirm';
import type { FormError } from './error-summary';
import type { Said } from './field-words';
import { errorAt } from './form';
import { formErrorsOf } from './form-errors';

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
  const refused = useMemo(() => refusedOf(error, fieldId), [error, fieldId]);
  const wrong = missing.length > 0 ? missing : refused;
  const told = errorAt(wrong, fieldId);
  const submit = () => {
    const isTooShort = reason.trim().length < SHORTEST_REASON;
    setMissing(isTooShort ? [{ fieldId, message: words.reasonMissing }] : []);
    if (!isTooShort) onConfirm(reason);
  };
  return (
    <Confirm title={title} action={action} busy={busy} error={error} beside={beside} wrong={wrong} onConfirm={submit} onClose={onClose}>
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
        {told === undefined ? null : (
          <span id={`${fieldId}-error`} className="field-error">
            {told}
          </span>
        )}
        <textarea
          id={fieldId} rows={3} maxLength={LONGEST_REASON} value={reason}
          aria-required="true" aria-invalid={told !== undefined} aria-describedby={told === undefined ? undefined : `${fieldId}-error`}
          onChange={(event) => setReason(event.currentTarget.value)}
        />
      </div>
    </Confirm>
  );
}

/** What the api refused of the reason, whatever the body calls it; empty where the refusal is about something else, which stands as a notice. */
function refusedOf(error: unknown, fieldId: string): readonly FormError[] {
  const trouble = troubleOf(error);
  const isOfField = trouble?.kind === 'refused' && (trouble.problem.errors ?? []).some(({ pointer }) => members.some((member) => pointer === `#/${member}`));
  return isOfField ? formErrorsOf(error, { fields: Object.fromEntries(members.map((member) => [member, fieldId])) }) : [];
}

const members = ['reason', 'note'] as const;
