import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link } from 'react-router';
import type { KeyCase } from '../../api/shapes';
import { Answer } from '../../parts/answer';
import { errorAt, Form } from '../../parts/form';
import { SelectField } from '../../parts/select-field';
import { unless, useSending } from '../../parts/use-sending';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { keyCodesQuery } from '../queries';

const text = words.keyCases.newCut;

/** The cut that takes the place of the old one: the first step, without which no lock can be changed. */
export function NewCut({ lost }: { readonly lost: KeyCase }) {
  const { may } = useOperator();
  const [isChoosing, setChoosing] = useState(lost.newCode === null);
  const mayName = lost.closed === null && lost.locks.some(({ state }) => state !== 'changed') && may('key-case.confirm');
  if (lost.newCode === null && !mayName) return null;
  return (
    <section className="section" aria-labelledby="new-cut">
      <h2 id="new-cut" tabIndex={-1}>{text.title}</h2>
      {lost.newCode === null ? <p>{text.none}</p> : <p>{text.is(lost.newCode.code)}</p>}
      {mayName && isChoosing ? <Choice lost={lost} /> : null}
      {mayName && !isChoosing ? (
        <div>
          <button type="button" className="button-plain" onClick={() => setChoosing(true)}>
            {text.change}
          </button>
        </div>
      ) : null}
    </section>
  );
}

function Choice({ lost }: { readonly lost: KeyCase }) {
  const { api, to } = useOperator();
  const id = useId();
  const question = useQuery(keyCodesQuery(api));
  const [keyCodeId, setCode] = useState('');
  const fields = { keyCodeId: `${id}-code` };
  const { errors, busy, submit } = useSending({ send: api.confirmKeyCaseStep, fields, changes: [['keys']], onDone: () => undefined });
  return (
    <Answer question={question} lines={2}>
      {(codes) => {
        const fitting = codes.filter((code) => code.class === lost.keyCode.class && code.id !== lost.keyCode.keyCodeId && code.id !== lost.newCode?.keyCodeId);
        if (fitting.length === 0) {
          return (
            <p>
              {text.noneThere} <Link to={to('keys/codes')}>{text.make}</Link>
            </p>
          );
        }
        const send = () => submit({ id: lost.id, body: { kind: 'new-code', keyCodeId, note: text.note } }, [unless(keyCodeId !== '', fields.keyCodeId, text.missing)]);
        return (
          <Form errors={errors} busy={busy} action={text.name} onSubmit={send} beside={<Link to={to('keys/codes')}>{text.make}</Link>}>
            <SelectField
              id={fields.keyCodeId} label={text.label} error={errorAt(errors, fields.keyCodeId)} value={keyCodeId} none={words.keys.holdings.choose} onValue={setCode}
              options={fitting.map((code) => ({ value: code.id, text: code.code }))}
            />
          </Form>
        );
      }}
    </Answer>
  );
}
