import { useEffect, useRef } from 'react';
import { words } from '../words/words';
import { InEnglish } from './trouble';

export interface FormError {
  /** Id of the field to go to; null when it is about the form as a whole. */
  readonly fieldId: string | null;
  readonly message: string;
  /** What only the api says of it, in English, on a page in another language. */
  readonly inEnglish?: readonly string[];
}

/** Stands above a form that was refused: takes the focus, and each error leads to its field. */
export function ErrorSummary({ errors }: { readonly errors: readonly FormError[] }) {
  const summary = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (errors.length > 0) summary.current?.focus();
  }, [errors]);
  if (errors.length === 0) return null;
  return (
    <div ref={summary} role="alert" tabIndex={-1} className="notice notice-alarm">
      <h2>{words.form.problem(errors.length)}</h2>
      <ul>
        {errors.map(({ fieldId, message, inEnglish = [] }, index) => (
          <li key={`${index} ${message}`}>
            {fieldId === null ? message : <FieldLink fieldId={fieldId} message={message} />}
            <InEnglish sentences={inEnglish} />
          </li>
        ))}
      </ul>
    </div>
  );
}

function FieldLink({ fieldId, message }: { readonly fieldId: string; readonly message: string }) {
  return (
    <a
      href={`#${fieldId}`}
      onClick={(event) => {
        event.preventDefault();
        document.getElementById(fieldId)?.focus();
      }}
    >
      {message}
    </a>
  );
}
