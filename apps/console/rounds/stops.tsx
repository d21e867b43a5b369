import { useState } from 'react';
import type { Site } from '../api/shapes';
import framed from '../parts/framed.module.css';
import { removeAround } from '../parts/move-focus';
import { SelectField } from '../parts/select-field';
import { words } from '../words/words';
import { moved } from './order';
import styles from './rounds.module.css';

const text = words.rounds.plan;

interface StopsProps {
  readonly addId: string;
  readonly error: string | undefined;
  readonly siteIds: readonly string[];
  readonly sites: readonly Site[];
  readonly isLoading: boolean;
  readonly onSiteIds: (siteIds: readonly string[]) => void;
}

/** The stops of a round, moved by buttons: they serve keyboard, finger and screen reader alike. */
export function Stops({ addId, error, siteIds, sites, isLoading, onSiteIds }: StopsProps) {
  const [said, setSaid] = useState('');
  const nameOf = (siteId: string) => sites.find(({ id }) => id === siteId)?.name ?? words.loading;
  const move = (from: number, by: -1 | 1) => {
    const siteId = siteIds[from];
    if (siteId === undefined) return;
    onSiteIds(moved(siteIds, { from, by }));
    setSaid(text.moved(nameOf(siteId), from + by + 1, siteIds.length));
  };
  const others = sites.filter(({ id, closedOn }) => closedOn === null && !siteIds.includes(id));
  return (
    <fieldset className={framed.frame}>
      <legend>{text.stops}</legend>
      <ol className={styles.order}>
        {siteIds.map((siteId, index) => (
          <li key={siteId}>
            <span>{nameOf(siteId)}</span>
            <span className={styles.moves}>
              <Move label={text.up(nameOf(siteId))} sign="↑" isOff={index === 0} onMove={() => move(index, -1)} />
              <Move label={text.down(nameOf(siteId))} sign="↓" isOff={index === siteIds.length - 1} onMove={() => move(index, 1)} />
              <Move label={text.remove(nameOf(siteId))} sign="×" isOff={false} onMove={(button) => removeAround(button, () => onSiteIds(siteIds.filter((id) => id !== siteId)))} />
            </span>
          </li>
        ))}
      </ol>
      <p role="status" className="visually-hidden">
        {said}
      </p>
      <SelectField id={addId} label={text.add} none={text.addNone} isLoading={isLoading} error={error} value="" options={others.map(({ id, name, code }) => ({ value: id, text: `${name} (${code})` }))} onValue={(siteId) => (siteId === '' ? undefined : onSiteIds([...siteIds, siteId]))} />
    </fieldset>
  );
}

/** Stays in the order of the keyboard at the ends of the list, where it does nothing: focus is never lost. */
function Move({ label, sign, isOff, onMove }: { readonly label: string; readonly sign: string; readonly isOff: boolean; readonly onMove: (button: HTMLElement) => void }) {
  return (
    <button type="button" className="button" aria-label={label} aria-disabled={isOff} onClick={({ currentTarget }) => (isOff ? undefined : onMove(currentTarget))}>
      <span aria-hidden="true">{sign}</span>
    </button>
  );
}
