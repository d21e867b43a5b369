import { useEffect, useId, useRef } from 'react';
import { words } from '../words/words';
import styles from './changed-meanwhile.module.css';

export interface FieldInQuestion {
  readonly name: string;
  readonly label: string;
  readonly theirs: string;
  readonly mine: string;
  readonly isTheirs: boolean;
  readonly onTheirs: () => void;
  readonly onMine: () => void;
}

interface ChangedMeanwhileProps {
  /** Fields that would differ from what a colleague has saved. */
  readonly fields: readonly FieldInQuestion[];
}

/**
 * Stands above a form that a colleague was quicker with: takes the focus, shows theirs and one's own side by side, and what is
 * chosen is put into the form at once. Neither is lost while the form is open.
 */
export function ChangedMeanwhile({ fields }: ChangedMeanwhileProps) {
  const id = useId();
  const notice = useRef<HTMLDivElement>(null);
  useEffect(() => notice.current?.focus(), []);
  const text = words.changedMeanwhile;
  return (
    <div ref={notice} role="alert" tabIndex={-1} className="notice notice-alarm">
      <h2>{text.title}</h2>
      <p>{fields.length === 0 ? text.same : text.what}</p>
      {fields.map(({ name, label, theirs, mine, isTheirs, onTheirs, onMine }) => (
        <fieldset key={name} className={styles['field']}>
          <legend>{label}</legend>
          <Side id={`${id}-${name}-theirs`} name={`${id}-${name}`} side={text.theirs} value={theirs} checked={isTheirs} onChosen={onTheirs} />
          <Side id={`${id}-${name}-mine`} name={`${id}-${name}`} side={text.mine} value={mine} checked={!isTheirs} onChosen={onMine} />
        </fieldset>
      ))}
    </div>
  );
}

interface SideProps {
  readonly id: string;
  readonly name: string;
  readonly side: string;
  readonly value: string;
  readonly checked: boolean;
  readonly onChosen: () => void;
}

function Side({ id, name, side, value, checked, onChosen }: SideProps) {
  return (
    <label htmlFor={id}>
      <input id={id} type="radio" name={name} checked={checked} onChange={onChosen} />
      <span>
        <span className="soft small">{side}</span> <span className={styles['value']}>{value === '' ? words.changedMeanwhile.empty : value}</span>
      </span>
    </label>
  );
}
