import { useId, useState } from 'react';
import { words } from '../words/words';
import { Dialog } from './dialog';

interface ShownOnceProps {
  readonly title: string;
  readonly lead: string;
  readonly label: string;
  /** Null where the answer got lost and was asked for again: the api does not tell it twice. */
  readonly value: string | null;
  readonly onClose: () => void;
}

/** A secret that is told this one time. Escape does not lose it; only the button that says so closes this. */
export function ShownOnce({ title, lead, label, value, onClose }: ShownOnceProps) {
  const fieldId = useId();
  const [copied, setCopied] = useState<'copied' | 'notCopied' | null>(null);
  const copy = async (text: string) => {
    try {
      await navigator.clipboard.writeText(text);
      setCopied('copied');
    } catch {
      setCopied('notCopied');
    }
  };
  return (
    <Dialog title={title} onClose={onClose} canClose={false}>
      <p>{lead}</p>
      {value === null ? null : (
        <div className="field">
          <label htmlFor={fieldId}>{label}</label>
          <input id={fieldId} readOnly value={value} onFocus={(event) => event.currentTarget.select()} />
        </div>
      )}
      <div className="row">
        {value === null ? null : (
          <button type="button" className="button button-main" onClick={() => void copy(value)}>
            {words.secret.copy}
          </button>
        )}
        <button type="button" className="button" onClick={onClose}>
          {value === null ? words.secret.closeLost : words.secret.close}
        </button>
        <span role="status">{copied === null ? null : words.secret[copied]}</span>
      </div>
    </Dialog>
  );
}
