import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link } from 'react-router';
import type { CollectionKeyCheck } from '../api/shapes';
import { Moment } from '../keys/parts';
import { peopleQuery } from '../keys/queries';
import { Field } from '../parts/field';
import { errorAt } from '../parts/form';
import { FormDialog } from '../parts/form-dialog';
import { SelectField } from '../parts/select-field';
import { unless, useSending } from '../parts/use-sending';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

const text = words.collectionKeys;

/** Whether who emptied the boxes of a collection had keys to them, and the way to say whose key it was. */
export function KeyCheck({ check }: { readonly check: CollectionKeyCheck }) {
  const { may, to } = useOperator();
  const [isNaming, setNaming] = useState(false);
  const { result, keyHolder, machines } = check;
  const isFinding = result === 'key-holder-without-key' || result === 'no-key-holder';
  return (
    <section className="section" aria-labelledby="key-check">
      <h2 id="key-check">{text.heading}</h2>
      {/* Until a box is counted nobody knows which ones were opened. */}
      {machines.length === 0 && result === 'not-known' ? (
        <p className="soft">{text.noneCounted}</p>
      ) : (
        <div className={isFinding ? 'notice notice-alarm' : 'notice'}>
          <strong>{text.result[result]}</strong>
          {isFinding ? <p>{text.caution}</p> : null}
        </div>
      )}
      <p>
        {text.holder}: {keyHolder === null ? text.nobody : may('key-reach.read') ? <Link to={to(`keys/people/${keyHolder.personId}?at=${check.happenedAt}`)}>{keyHolder.name}</Link> : keyHolder.name}
      </p>
      {machines.length === 0 ? null : (
        <Wide title={text.heading}>
          <table>
            <caption className="visually-hidden">{text.heading}</caption>
            <thead>
              <tr>
                <th scope="col">{words.machine}</th>
                <th scope="col">{text.codes}</th>
                <th scope="col">{text.lacking}</th>
              </tr>
            </thead>
            <tbody>
              {machines.map(({ machineId, machineTag, codes, lacking }) => (
                <tr key={machineId}>
                  <th scope="row">{may('key-reach.read') ? <Link to={to(`keys/openers?machine=${machineId}&when=moment&at=${check.happenedAt}`)}>{machineTag}</Link> : machineTag}</th>
                  <td>{codes.length === 0 ? <span className="soft">{text.noLock}</span> : codes.join(', ')}</td>
                  <td>{lacking.length === 0 ? null : <span className="state state-alarm">{lacking.join(', ')}</span>}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      )}
      {may('collection-key.name') ? (
        <div>
          <button type="button" className="button" onClick={() => setNaming(true)}>
            {text.name}
          </button>
        </div>
      ) : null}
      {isNaming ? <NameHolder check={check} onClose={() => setNaming(false)} /> : null}
    </section>
  );
}

const exchanged = 'exchanged';

function NameHolder({ check, onClose }: { readonly check: CollectionKeyCheck; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const people = useQuery(peopleQuery(api));
  const [who, setWho] = useState('');
  const [reason, setReason] = useState('');
  const fields = { keyHolderId: `${id}-who`, boxesExchanged: `${id}-who`, reason: `${id}-reason` };
  const { errors, busy, submit } = useSending({ send: api.nameKeyHolder, fields, changes: [['collections'], ['keys']], onDone: onClose });
  const send = () =>
    submit({ id: check.collectionId, body: { reason: reason.trim(), ...(who === exchanged ? { boxesExchanged: true } : { keyHolderId: who }) } }, [
      unless(who !== '', fields.keyHolderId, text.missing),
      unless(reason.trim().length >= 3, fields.reason, words.reasonMissing),
    ]);
  const own = (people.data ?? []).filter(({ employedBy }) => employedBy === 'operator');
  return (
    <FormDialog title={text.nameTitle} errors={errors} busy={busy} action={text.record} onSubmit={send} onClose={onClose}>
      <p className="soft">
        <Moment instant={check.happenedAt} />
      </p>
      <SelectField
        id={fields.keyHolderId} label={text.who} error={errorAt(errors, fields.keyHolderId)} value={who} none={words.keys.holdings.choose} isLoading={people.isLoading} onValue={setWho}
        options={[{ value: exchanged, text: text.exchanged }, ...own.map((person) => ({ value: person.id, text: words.custody.named(person.name, person.code) }))]}
      />
      <Field id={fields.reason} label={words.reason} autoComplete="off" error={errorAt(errors, fields.reason)} value={reason} onValue={setReason} />
    </FormDialog>
  );
}
