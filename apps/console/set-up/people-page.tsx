import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-router';
import type { Person, Site } from '../api/shapes';
import { asCode, isCode } from '../format/code';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { everySiteQuery, peopleQuery } from '../keys/queries';
import { today } from '../keys/set-up/day-field';
import { codeFromName } from '../keys/set-up/numbers';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { FormDialog } from '../parts/form-dialog';
import { Found } from '../parts/found';
import { Page } from '../parts/page';
import { SelectField } from '../parts/select-field';
import { dayInWords, orNull, useEditForm, useTypedForm } from '../parts/use-typed-form';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { CodeField, OpenButton, SetUpViews } from './parts';
import { peopleKey } from './queries';

const text = words.setUp.people;

/** `persons`: who works for the operator or at a site, whether they may sign in or not. */
export function PersonsPage() {
  const { api, may, to, membership } = useOperator();
  const [editing, setEditing] = useState<Person | 'new' | null>(null);
  const allowed = may('person.read');
  const question = useQuery({ ...peopleQuery(api), enabled: allowed });
  const sites = useQuery({ ...everySiteQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  const add = may('person.create') ? <OpenButton main onClick={() => setEditing('new')}>{text.add}</OpenButton> : null;
  const siteName = ({ siteId }: Person): string => (siteId === null ? membership.name : (sites.data?.find(({ id }) => id === siteId)?.name ?? ''));
  return (
    <Page title={text.title} lead={text.lead} actions={<SetUpViews />}>
      <Answer question={question} lines={8}>
        {(people) =>
          people.length === 0 ? (
            <Blank title={text.none}>
              <p>{text.noneWhat}</p>
              {add}
            </Blank>
          ) : (
            <>
              <div className="row">
                {add}
                {may('member.read') ? <Link to={to('people')}>{text.toMembers}</Link> : null}
              </div>
              <Found
                all={people} title={text.title} shown={text.shown} columns={[text.person, text.worksFor, text.since, ...(may('person.change') ? [words.commands] : [])]}
                textsOf={(person) => [person.code, person.name, siteName(person)]}
              >
                {(person) => (
                  <tr key={person.id}>
                    <th scope="row">
                      {may('key-reach.read') ? <Link to={to(`keys/people/${person.id}`)}>{person.name}</Link> : person.name} <span className="code small">{person.code}</span>
                    </th>
                    <td>{siteName(person)}</td>
                    <td>
                      {formatDay(person.startedOn, locale)}
                      {person.leftOn === null ? null : <div className="soft small">{text.left(formatDay(person.leftOn, locale))}</div>}
                    </td>
                    {may('person.change') ? (
                      <td>
                        <OpenButton about={person.name} onClick={() => setEditing(person)}>{words.setUp.change}</OpenButton>
                      </td>
                    ) : null}
                  </tr>
                )}
              </Found>
            </>
          )
        }
      </Answer>
      {editing === 'new' ? <NewPerson sites={sites.data ?? []} onClose={() => setEditing(null)} /> : null}
      {editing !== null && editing !== 'new' ? <ChangePerson person={editing} onClose={() => setEditing(null)} /> : null}
    </Page>
  );
}

function NewPerson({ sites, onClose }: { readonly sites: readonly Site[]; readonly onClose: () => void }) {
  const { api, membership } = useOperator();
  const [hasOwnCode, setOwnCode] = useState(false);
  const { set, field, errors, busy, submit } = useTypedForm({
    initial: { name: '', code: '', siteId: '', email: '', startedOn: today() },
    missing: (now) => ({ name: now.name.trim() === '' && words.setUp.nameMissing, code: !isCode({ typed: now.code }) && words.setUp.codeWrong, startedOn: now.startedOn === '' && words.setUp.dayMissing }),
    body: (now) => ({
      name: now.name.trim(), code: asCode(now.code), email: orNull(now.email), startedOn: now.startedOn,
      ...(now.siteId === '' ? { employedBy: 'operator' as const, siteId: null } : { employedBy: 'site' as const, siteId: now.siteId }),
    }),
    send: api.createPerson,
    changes: [peopleKey],
    onDone: onClose,
  });
  return (
    <FormDialog title={text.add} lead={text.lead} errors={errors} busy={busy} action={text.add} onSubmit={submit} onClose={onClose}>
      <Field {...field('name')} label={words.setUp.name} maxLength={200} autoComplete="off" onValue={(name) => set(hasOwnCode ? { name } : { name, code: codeFromName(name) })} />
      <CodeField
        {...field('code')}
        onValue={(code) => {
          setOwnCode(code !== '');
          set({ code });
        }}
      />
      <SelectField {...field('siteId')} label={text.worksFor} none={membership.name} options={sites.filter(({ closedOn }) => closedOn === null).map(({ id, name, code }) => ({ value: id, text: `${name} (${code})` }))} />
      <Field {...field('startedOn')} type="date" label={text.startedOn} />
      <Field {...field('email')} type="email" label={text.email} hint={text.emailHint} autoComplete="off" />
    </FormDialog>
  );
}

/** Where somebody works stays: at another place they are another person in the books. */
function ChangePerson({ person, onClose }: { readonly person: Person; readonly onClose: () => void }) {
  const { api } = useOperator();
  const { field, errors, conflict, busy, submit } = useEditForm({
    edited: {
      thing: person,
      read: api.person,
      enteredOf: (of) => ({ name: of.name, code: of.code, email: of.email ?? '', startedOn: of.startedOn, leftOn: of.leftOn ?? '' }),
      fields: {
        name: { label: words.setUp.name }, code: { label: words.setUp.code }, email: { label: text.email }, startedOn: { label: text.startedOn, says: dayInWords }, leftOn: { label: text.leftOn, says: dayInWords },
      },
    },
    missing: (now) => ({ name: now.name.trim() === '' && words.setUp.nameMissing, code: !isCode({ typed: now.code }) && words.setUp.codeWrong, startedOn: now.startedOn === '' && words.setUp.dayMissing }),
    body: (now, { id, revision }) => ({ id, revision, body: { name: now.name.trim(), code: asCode(now.code), email: orNull(now.email), startedOn: now.startedOn, leftOn: orNull(now.leftOn) } }),
    send: api.changePerson,
    changes: [peopleKey, ['keys']],
    onDone: onClose,
  });
  return (
    <FormDialog title={words.setUp.changeTitle(person.name)} errors={errors} conflict={conflict} busy={busy} action={words.setUp.save} onSubmit={submit} onClose={onClose}>
      <Field {...field('name')} label={words.setUp.name} maxLength={200} autoComplete="off" />
      <CodeField {...field('code')} />
      <Field {...field('startedOn')} type="date" label={text.startedOn} />
      <Field {...field('leftOn')} type="date" label={text.leftOn} hint={text.leftOnHint} />
      <Field {...field('email')} type="email" label={text.email} hint={text.emailHint} autoComplete="off" />
    </FormDialog>
  );
}
