import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { createPortal } from 'react-dom';
import type { Person } from '../../api/shapes';
import { Field } from '../../parts/field';
import { errorAt } from '../../parts/form';
import { FormDialog } from '../../parts/form-dialog';
import { SelectField } from '../../parts/select-field';
import { unless, useSending } from '../../parts/use-sending';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { peopleQuery } from '../queries';
import { today } from './day-field';
import { codeFromName } from './numbers';
import { asCode, wrongCode } from './parts';

const text = words.keySetUp.person;

/** Where somebody works: at a site, or for the operator. */
export type Employer = { readonly siteId: string; readonly siteName: string } | null;

interface PersonFieldProps {
  readonly id: string;
  readonly label: string;
  readonly hint?: string;
  readonly error: string | undefined;
  readonly employer: Employer;
  readonly value: string;
  readonly none?: string;
  /** Who is out of the question. */
  readonly without?: readonly string[];
  readonly onValue: (personId: string) => void;
}

/** Somebody who works there now; who is not in the books yet is added on the spot. */
export function PersonField({ employer, none = text.choose, without = [], ...field }: PersonFieldProps) {
  const { api, may } = useOperator();
  const people = useQuery(peopleQuery(api));
  const [isAdding, setAdding] = useState(false);
  const options = (people.data ?? []).filter((person) => worksFor(person, employer) && !without.includes(person.id));
  return (
    <SelectField {...field} none={none} isLoading={people.isLoading} options={options.map(({ id, name, code }) => ({ value: id, text: `${name} (${code})` }))}>
      {may('person.create') ? (
        <div>
          <button type="button" className="button-plain small" onClick={() => setAdding(true)}>
            {text.add}
          </button>
        </div>
      ) : null}
      {isAdding ? (
        <AddPerson
          employer={employer} onClose={() => setAdding(false)}
          onAdded={(person) => {
            setAdding(false);
            field.onValue(person.id);
          }}
        />
      ) : null}
    </SelectField>
  );
}

export function worksFor(person: Person, employer: Employer): boolean {
  return person.leftOn === null && person.siteId === (employer?.siteId ?? null);
}

interface AddPersonProps {
  readonly employer: Employer;
  readonly onAdded: (person: Person) => void;
  readonly onClose: () => void;
}

/** A person for the books: no account comes of it. It stands beside the page, for a form must not lie within another. */
export function AddPerson({ employer, onAdded, onClose }: AddPersonProps) {
  const { api } = useOperator();
  const id = useId();
  const [name, setName] = useState('');
  const [ownCode, setOwnCode] = useState<string | null>(null);
  const [startedOn, setStartedOn] = useState(today());
  const fields = { name: `${id}-name`, code: `${id}-code`, startedOn: `${id}-since` };
  const code = ownCode ?? codeFromName(name);
  const { errors, busy, submit } = useSending({ send: api.createPerson, fields, changes: [['people']], onDone: onAdded });
  const send = () =>
    submit({ name: name.trim(), code: asCode(code), employedBy: employer === null ? 'operator' : 'site', siteId: employer?.siteId ?? null, startedOn }, [
      unless(name.trim() !== '', fields.name, words.keySetUp.nameMissing),
      wrongCode(code, fields.code),
      unless(startedOn !== '', fields.startedOn, text.sinceMissing),
    ]);
  return createPortal(
    // React hands what happens here on to the form that asked, which must not take it for its own.
    <div onSubmit={(event) => event.stopPropagation()}>
      <FormDialog
        title={text.addTitle} lead={employer === null ? text.ofOperator : text.addOfSite(employer.siteName)}
        errors={errors} busy={busy} action={text.add} onSubmit={send} onClose={onClose}
      >
        <Field id={fields.name} label={text.name} autoComplete="off" error={errorAt(errors, fields.name)} value={name} onValue={setName} />
        <Field id={fields.code} label={text.code} hint={text.codeHint} autoComplete="off" error={errorAt(errors, fields.code)} value={code} onValue={setOwnCode} />
        <Field id={fields.startedOn} type="date" label={text.since} error={errorAt(errors, fields.startedOn)} value={startedOn} onValue={setStartedOn} />
      </FormDialog>
    </div>,
    document.body,
  );
}
