import type { Party } from '../api/shapes';
import { words } from '../words/words';
import styles from './agreements.module.css';

const text = words.agreements;

interface OthersProps {
  readonly id: string;
  readonly parties: readonly Party[];
  readonly chosen: readonly string[];
  /** Parties that are listed already and stay so. */
  readonly kept?: readonly string[];
  readonly onChosen: (ids: readonly string[]) => void;
}

/** Folded away: in most agreements there is nobody else. */
export function Others({ id, parties, chosen, kept = [], onChosen }: OthersProps) {
  if (parties.length === 0) return null;
  return (
    <details open={chosen.length > 0}>
      <summary>{text.others}</summary>
      <fieldset id={id} tabIndex={-1} className={styles.others}>
        <legend className="field-hint">{text.othersHint}</legend>
        {parties.map((party) => (
          <label key={party.id}>
            <input type="checkbox" disabled={kept.includes(party.id)} checked={chosen.includes(party.id)} onChange={(event) => onChosen(event.currentTarget.checked ? [...chosen, party.id] : chosen.filter((each) => each !== party.id))} />
            {party.name}
          </label>
        ))}
      </fieldset>
    </details>
  );
}
