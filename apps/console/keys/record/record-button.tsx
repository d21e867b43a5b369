import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { CustodyEvent } from '../../api/shapes';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { policiesQuery } from '../queries';
import { Confirmations } from './confirmations';
import { isConfirmed } from './confirmed';
import type { HolderReference } from './holder-field';
import { movementsFrom, type Movement } from './movements';
import { RecordEvent, type CopyAt } from './record-event';

interface RecordButtonProps {
  readonly copy: CopyAt;
  /** What is offered; everything that is possible where it is, and that the policy lets happen, when left out. */
  readonly movements?: readonly Movement[];
  readonly to?: HolderReference;
  readonly reason?: string;
  readonly label?: string;
  /** How the form says it, where that is another way than the office's. */
  readonly said?: { readonly title: string; readonly action: string };
  /** Large ones for fingers, small ones in rows. */
  readonly size?: 'small' | 'large' | 'main';
  readonly onRecorded?: () => void;
}

const looks = { small: 'button button-small', large: 'button', main: 'button button-main' };

/** Opens the form for what happened to a copy; where somebody has to confirm it, that comes next. */
export function RecordButton({ copy, movements: asked, label = words.custody.record, size = 'small', onRecorded, ...fixed }: RecordButtonProps) {
  const { api, may } = useOperator();
  const all = movementsFrom(copy.where);
  const policy = useQuery({ ...policiesQuery(api), enabled: asked === undefined && may('policy.read') && all.includes('handed-over') && copy.class === 'cash-box' && copy.where.holder?.kind !== 'store' });
  const movements = asked ?? (policy.data?.current.directHandOver === false ? all.filter((movement) => movement !== 'handed-over') : all);
  const [open, setOpen] = useState<'form' | CustodyEvent | null>(null);
  if (movements.length === 0 || !may('custody-event.record')) return null;
  const close = () => setOpen(null);
  return (
    <>
      <button type="button" className={looks[size]} onClick={() => setOpen('form')}>
        {label}
        <span className="visually-hidden">{` ${copy.number}`}</span>
      </button>
      {open === 'form' ? <RecordEvent copy={copy} movements={movements} {...fixed} onRecorded={(event) => {
          setOpen(isConfirmed(event) ? null : event);
          onRecorded?.();
        }} onClose={close} /> : null}
      {open === null || open === 'form' ? null : <Confirmations event={open} onClose={close} />}
    </>
  );
}
