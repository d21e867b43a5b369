import { useId, useState } from 'react';
import type { CustodySide } from '../../api/custody-api';
import type { CustodyEvent, KeyHolder } from '../../api/shapes';
import { Field } from '../../parts/field';
import { errorAt, Form } from '../../parts/form';
import { unless, useSending } from '../../parts/use-sending';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { SignaturePad } from './signature-pad';
import { SpeakerField } from './speaker-field';
import type { Stroke } from './strokes';

const text = words.custody.confirm;

interface SignHereProps {
  readonly event: CustodyEvent;
  readonly side: CustodySide;
  readonly holder: KeyHolder;
  readonly onSigned: (event: CustodyEvent) => void;
  readonly onClose: () => void;
}

/** Somebody of a site without an account signs on the spot: their name, and a signature that is drawn, or else typed. */
export function SignHere({ event, side, holder, onSigned, onClose }: SignHereProps) {
  const { api } = useOperator();
  const id = useId();
  const [personId, setPersonId] = useState('');
  const [name, setName] = useState(holder.kind === 'person' ? holder.name : '');
  const [strokes, setStrokes] = useState<readonly Stroke[]>([]);
  const [typed, setTyped] = useState('');
  const fields = { personId: `${id}-person`, name: `${id}-name`, signature: `${id}-typed` };
  const { errors, busy, submit } = useSending({ send: api.signForKeys, fields, changes: [], onDone: onSigned });
  const isDrawn = strokes.length > 0;
  const send = () =>
    submit(
      {
        eventId: event.id,
        body: {
          side,
          ...(personId === '' ? {} : { personId }),
          name: name.trim(),
          signature: isDrawn ? { kind: 'drawn', strokes: strokes.map((stroke) => [...stroke]) } : { kind: 'typed', text: typed.trim() },
        },
      },
      [unless(name.trim() !== '', fields.name, text.nameMissing), unless(isDrawn || typed.trim() !== '', fields.signature, text.signatureMissing)],
    );
  return (
    <Form errors={errors} busy={busy} action={words.keyReceipt.confirm[side]} onSubmit={send} beside={<button type="button" className="button" onClick={onClose}>{words.cancel}</button>}>
      <SpeakerField id={fields.personId} holder={holder} error={errorAt(errors, fields.personId)} value={personId} onValue={setPersonId} />
      <Field id={fields.name} label={text.name} autoComplete="off" error={errorAt(errors, fields.name)} value={name} onValue={setName} />
      <SignaturePad strokes={strokes} onStrokes={setStrokes} />
      {isDrawn ? null : <Field id={fields.signature} label={text.typed} hint={text.typedHint} autoComplete="off" error={errorAt(errors, fields.signature)} value={typed} onValue={setTyped} />}
    </Form>
  );
}
