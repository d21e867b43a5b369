import { useId, useState } from 'react';
import { useNavigate } from 'react-router';
import type { KeyCode } from '../../api/shapes';
import { Field } from '../../parts/field';
import { errorAt } from '../../parts/form';
import { FormDialog } from '../../parts/form-dialog';
import { useChangedMeanwhile } from '../../parts/use-changed-meanwhile';
import { unless, useSending } from '../../parts/use-sending';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { asCode, wrongCode } from './parts';
import { setUpKey } from './queries';
import styles from './set-up.module.css';

const text = words.keySetUp;
const classes = ['access', 'cash-box'] as const;
type KeyClass = (typeof classes)[number];

/** Names a cut, and goes on to it: its copies come next. */
export function NewCode({ onClose }: { readonly onClose: () => void }) {
  const { api, to } = useOperator();
  const navigate = useNavigate();
  const id = useId();
  const [code, setCode] = useState('');
  const [kind, setKind] = useState<KeyClass | null>(null);
  const [outsideCopies, setOutside] = useState(false);
  const fields = { code: `${id}-code`, class: `${id}-access` };
  const { errors, busy, submit } = useSending({ send: api.createKeyCode, fields, changes: [setUpKey], onDone: (made) => void navigate(to(`keys/codes/${made.id}`)) });
  const send = () =>
    submit({ code: asCode(code), class: kind ?? 'access', outsideCopies }, [wrongCode(code, fields.code), unless(kind !== null, fields.class, text.codes.kindMissing)]);
  return (
    <FormDialog title={text.codes.addTitle} errors={errors} busy={busy} action={text.codes.add} onSubmit={send} onClose={onClose}>
      <Field id={fields.code} label={text.codes.code} hint={text.codeHint} autoComplete="off" autoCapitalize="characters" error={errorAt(errors, fields.code)} value={code} onValue={setCode} />
      <fieldset className={styles.choices}>
        <legend>{text.codes.kind}</legend>
        <span className="field-hint">{text.codes.kindStays}</span>
        {errorAt(errors, fields.class) === undefined ? null : <span className="field-error">{errorAt(errors, fields.class)}</span>}
        {classes.map((each) => (
          <label key={each}>
            <input id={`${id}-${each}`} type="radio" name={`${id}-kind`} checked={kind === each} onChange={() => setKind(each)} />
            <span>
              <strong>{text.codes.kinds[each]}</strong>
              <br />
              <span className="soft small">{text.codes.kindMeans[each]}</span>
            </span>
          </label>
        ))}
      </fieldset>
      <OutsideChoice id={`${id}-outside`} outside={outsideCopies} onOutside={setOutside} />
    </FormDialog>
  );
}

/** The code's name, and what is known of copies outside. */
export function ChangeCode({ code, onClose }: { readonly code: KeyCode; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const [name, setName] = useState(code.code);
  const [outsideCopies, setOutside] = useState(code.outsideCopies);
  const fields = { code: `${id}-code`, outsideCopies: `${id}-outside` };
  const edited = {
    thing: code,
    read: api.keyCode,
    enteredOf: (of: KeyCode) => ({ name: of.code, outsideCopies: of.outsideCopies }),
    fields: { name: { label: text.codes.code }, outsideCopies: { label: text.codes.outside, says: words.changedMeanwhile.yesNo } },
  };
  const onEntered = (entered: { readonly name: string; readonly outsideCopies: boolean }) => {
    setName(entered.name);
    setOutside(entered.outsideCopies);
  };
  const { seen, onRefused, conflict } = useChangedMeanwhile(edited, { entered: { name, outsideCopies }, onEntered });
  const { errors, busy, submit } = useSending({ send: api.changeKeyCode, fields, changes: [setUpKey], onDone: onClose, onRefused });
  const send = () => submit({ id: code.id, revision: (seen ?? code).revision, body: { code: asCode(name), outsideCopies } }, [wrongCode(name, fields.code)]);
  return (
    <FormDialog title={text.code.changeTitle(code.code)} errors={errors} conflict={conflict} busy={busy} action={text.save} onSubmit={send} onClose={onClose}>
      <Field id={fields.code} label={text.codes.code} hint={text.codeHint} autoComplete="off" error={errorAt(errors, fields.code)} value={name} onValue={setName} />
      <OutsideChoice id={fields.outsideCopies} outside={outsideCopies} onOutside={setOutside} />
    </FormDialog>
  );
}

function OutsideChoice({ id, outside, onOutside }: { readonly id: string; readonly outside: boolean; readonly onOutside: (outside: boolean) => void }) {
  return (
    <fieldset className={styles.choices}>
      <legend>{text.codes.outside}</legend>
      <label>
        <input id={id} type="checkbox" checked={outside} onChange={(event) => onOutside(event.currentTarget.checked)} />
        <span>
          {text.codes.outsideYes}
          <br />
          <span className="soft small">{text.codes.outsideHint}</span>
        </span>
      </label>
    </fieldset>
  );
}
