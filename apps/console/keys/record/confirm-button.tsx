import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Dialog } from '../../parts/dialog';
import { Answer } from '../../parts/answer';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { Confirmations } from './confirmations';
import { eventQuery } from './queries';

/** Opens the ways to get something confirmed, where only its id is known. */
export function ConfirmButton({ eventId, about }: { readonly eventId: string; readonly about: string }) {
  const { api } = useOperator();
  const [isOpen, setOpen] = useState(false);
  const question = useQuery({ ...eventQuery(api, eventId), enabled: isOpen });
  const close = () => setOpen(false);
  return (
    <>
      <button type="button" className="button button-small" onClick={() => setOpen(true)}>
        {words.custody.events.confirm}
        <span className="visually-hidden">{` ${about}`}</span>
      </button>
      {isOpen && question.data === undefined ? (
        <Dialog title={words.custody.confirm.title(about)} onClose={close}>
          <Answer question={question}>{() => null}</Answer>
        </Dialog>
      ) : null}
      {isOpen && question.data !== undefined ? <Confirmations event={question.data} onClose={close} /> : null}
    </>
  );
}
