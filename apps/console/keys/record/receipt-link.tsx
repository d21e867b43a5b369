import { useId, useState } from 'react';
import type { CustodySide } from '../../api/custody-api';
import type { CustodyEvent, KeyHolder } from '../../api/shapes';
import { formatInstant } from '../../format/day';
import { locale } from '../../format/locale';
import { errorAt, Form } from '../../parts/form';
import { ShownOnce } from '../../parts/shown-once';
import { useSending } from '../../parts/use-sending';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { SpeakerField } from './speaker-field';

const text = words.custody.confirm;

interface ReceiptLinkProps {
  readonly event: CustodyEvent;
  readonly side: CustodySide;
  readonly holder: KeyHolder;
  readonly onClose: () => void;
}

/** A link by which somebody confirms without an account; it is shown this one time. */
export function ReceiptLink({ event, side, holder, onClose }: ReceiptLinkProps) {
  const { api } = useOperator();
  const id = useId();
  const [personId, setPersonId] = useState('');
  const [made, setMade] = useState<{ readonly address: string | null; readonly expiresAt: string } | null>(null);
  const fields = { personId: `${id}-person` };
  const { errors, busy, submit } = useSending({ send: api.keyReceiptLink, fields, changes: [], onDone: setMade });
  const send = () => submit({ eventId: event.id, side, ...(personId === '' ? {} : { personId }) }, []);
  if (made !== null) {
    return <ShownOnce title={text.linkTitle} lead={text.linkLead({ name: holder.name, until: formatInstant(made.expiresAt, locale) })} label={text.linkLabel} value={made.address} onClose={onClose} />;
  }
  return (
    <Form errors={errors} busy={busy} action={text.linkMake} onSubmit={send} beside={<button type="button" className="button" onClick={onClose}>{words.cancel}</button>}>
      <SpeakerField id={fields.personId} holder={holder} error={errorAt(errors, fields.personId)} value={personId} onValue={setPersonId} />
    </Form>
  );
}
