import { queryOptions, useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link, useParams } from 'react-router';
import type { ErasedPerson, Person, TextNamingPerson } from '../api/shapes';
import { ownOperatorQuery } from '../cash/queries';
import { dayIn, dayOf, formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { Confirm } from '../parts/confirm';
import { Denied } from '../parts/denied';
import { Field } from '../parts/field';
import { errorAt, Form } from '../parts/form';
import { Page } from '../parts/page';
import { useChangedMeanwhile } from '../parts/use-changed-meanwhile';
import { useMutation } from '../parts/use-mutation';
import { unless, useSending } from '../parts/use-sending';
import { dayInWords } from '../parts/use-typed-form';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import styles from '../access/access.module.css';
import { changedFields } from './changed-fields';
import { CopyLink } from './parts';
import { personKeysQuery } from './queries';

const text = words.erasure;
type Api = ReturnType<typeof useOperator>['api'];

const personQuery = (api: Api, id: string) => queryOptions({ queryKey: ['person', id], queryFn: ({ signal }) => api.person(id, signal) });
const textsQuery = (api: Api, id: string) => queryOptions({ queryKey: ['person', id, 'texts'], queryFn: ({ signal }) => api.textsNamingPerson(id, signal) });

/** `keys/people/:id/erasure`: takes out who somebody was who left, and says beforehand what of it stays. */
export function ErasePersonPage() {
  const { personId = '' } = useParams();
  const { api, may, to } = useOperator();
  const [erased, setErased] = useState<ErasedPerson | null>(null);
  const allowed = may('person.erase');
  const question = useQuery({ ...personQuery(api, personId), enabled: allowed && erased === null });
  const [timesSaved, setTimesSaved] = useState(0);
  if (!allowed) return <Denied title={words.keys.title} />;
  if (erased !== null) return <Erased erased={erased} />;
  const person = question.data;
  const back = person === undefined ? null : <Link to={to(`keys/people/${personId}`)}>{text.back(person.name)}</Link>;
  return (
    <Page title={person === undefined ? words.keys.title : text.title(person.name)} lead={text.lead} actions={back}>
      <Answer question={question} lines={6}>
        {(found) => (
          <>
            <LastDay key={timesSaved} person={found} onSaved={() => setTimesSaved(timesSaved + 1)} />
            <WhatIsErased person={found} onErased={setErased} />
          </>
        )}
      </Answer>
    </Page>
  );
}

/** Somebody who works here still is not erased: asks for the last day, or says which it was. */
function LastDay({ person, onSaved }: { readonly person: Person; readonly onSaved: () => void }) {
  const { api } = useOperator();
  const fieldId = useId();
  const [day, setDay] = useState(person.leftOn ?? '');
  const isOver = useIsOver();
  const edited = {
    thing: person,
    read: api.person,
    enteredOf: (of: Person) => ({ day: of.leftOn ?? '' }),
    fields: { day: { label: text.left.field, says: dayInWords } },
  };
  const { seen, onRefused, conflict } = useChangedMeanwhile(edited, { entered: { day }, onEntered: (entered: { readonly day: string }) => setDay(entered.day) });
  const { errors, busy, submit } = useSending({
    send: (leftOn: string) => api.personLeft({ id: person.id, revision: (seen ?? person).revision, leftOn }),
    fields: { leftOn: fieldId },
    changes: [['person', person.id], ['people']],
    onDone: onSaved,
    onRefused,
  });
  return (
    <section className="section" aria-labelledby="left">
      <h2 id="left">{text.left.title}</h2>
      {person.leftOn === null ? null : <p>{isOver(person.leftOn) ? text.left.on(formatDay(person.leftOn, locale)) : text.left.notOver(formatDay(person.leftOn, locale))}</p>}
      <Form errors={errors} conflict={conflict} busy={busy} action={text.left.save} onSubmit={() => submit(day, [unless(day !== '', fieldId, text.left.missing)])}>
        <p>{person.leftOn === null ? text.left.still : text.left.change}</p>
        <Field id={fieldId} type="date" label={text.left.field} error={errorAt(errors, fieldId)} value={day} onValue={setDay} />
      </Form>
    </section>
  );
}

/** Whether a last day is over where the office is, which may be another day than the reader's. Not before the office's day is known. */
function useIsOver(): (leftOn: string) => boolean {
  const { api } = useOperator();
  const timeZone = useQuery(ownOperatorQuery(api)).data?.timeZone;
  return (leftOn) => timeZone !== undefined && leftOn < dayIn(new Date(), timeZone);
}

function WhatIsErased({ person, onErased }: { readonly person: Person; readonly onErased: (erased: ErasedPerson) => void }) {
  const { api } = useOperator();
  const [ticked, setTicked] = useState<ReadonlySet<string>>(new Set());
  const [isAsked, setAsked] = useState(false);
  const isOver = useIsOver();
  const texts = useQuery(textsQuery(api, person.id));
  const keys = useQuery(personKeysQuery(api, person.id, {}));
  const held = (keys.data?.copies ?? []).filter(({ via }) => via === 'holds');
  const others = (texts.data?.items ?? []).filter(({ tookPart }) => !tookPart);
  const confirmed = others.filter(({ reference }) => ticked.has(reference)).map(({ reference }) => reference);
  const mayErase = person.leftOn !== null && isOver(person.leftOn) && keys.data !== undefined && held.length === 0 && texts.data !== undefined;
  const tick = (reference: string, isTicked: boolean) => setTicked(new Set(isTicked ? [...ticked, reference] : [...ticked].filter((each) => each !== reference)));
  return (
    <>
      {held.length === 0 ? null : (
        <section className="section" aria-labelledby="held">
          <h2 id="held">{text.held.title}</h2>
          <p>{text.held.have}</p>
          <ul>
            {held.map(({ keyCopyId, number }) => (
              <li key={keyCopyId}>
                <CopyLink id={keyCopyId} number={number} />
              </li>
            ))}
          </ul>
        </section>
      )}
      <section className="section" aria-labelledby="texts">
        <h2 id="texts">{text.texts.title}</h2>
        <Answer question={texts} lines={4}>
          {({ items }) => <Texts items={items} ticked={ticked} onTick={tick} />}
        </Answer>
      </section>
      {texts.data === undefined || texts.data.openInvitations.length === 0 ? null : (
        <section className="section" aria-labelledby="invitations">
          <h2 id="invitations">{text.invitations.title(texts.data.openInvitations.length)}</h2>
          {texts.data.openInvitations.map(({ email, expiresAt }) => (
            <p key={`${email} ${expiresAt}`}>{text.invitations.withdrawn(email, formatInstant(expiresAt, locale))}</p>
          ))}
        </section>
      )}
      <section className="section" aria-labelledby="stays">
        <h2 id="stays">{text.stays.title}</h2>
        <ul>
          {text.stays.items.map((item) => (
            <li key={item}>{item}</li>
          ))}
        </ul>
      </section>
      {mayErase ? (
        <div>
          <button type="button" className="button button-main" onClick={() => setAsked(true)}>
            {text.erase}
          </button>
        </div>
      ) : null}
      {isAsked ? <AskOnce person={person} confirmed={confirmed} onErased={onErased} onClose={() => setAsked(false)} /> : null}
    </>
  );
}

interface TextsProps {
  readonly items: readonly TextNamingPerson[];
  readonly ticked: ReadonlySet<string>;
  readonly onTick: (reference: string, isTicked: boolean) => void;
}

function Texts({ items, ticked, onTick }: TextsProps) {
  const [own, others] = [items.filter(({ tookPart }) => tookPart), items.filter(({ tookPart }) => !tookPart)];
  if (items.length === 0) return <p>{text.texts.none}</p>;
  return (
    <>
      {own.length === 0 ? null : (
        <>
          <p>{text.texts.own(own.length)}</p>
          <ul>
            {own.map((item) => (
              <li key={item.reference}>
                <Said item={item} />
              </li>
            ))}
          </ul>
        </>
      )}
      {others.length === 0 ? null : (
        <fieldset className={styles.choices}>
          <legend>{text.texts.others}</legend>
          {others.map((item) => (
            <label key={item.reference}>
              <input type="checkbox" checked={ticked.has(item.reference)} onChange={(event) => onTick(item.reference, event.currentTarget.checked)} />
              <span>
                <Said item={item} />
              </span>
            </label>
          ))}
        </fieldset>
      )}
    </>
  );
}

function Said({ item }: { readonly item: TextNamingPerson }) {
  const about = text.texts.about({ ...item, on: item.writtenAt === null ? null : formatDay(dayOf(new Date(item.writtenAt)), locale) });
  const fields = item.table === 'audit_entry' ? changedFields({ said: item.text, remaining: item.remaining }) : null;
  if (fields !== null) {
    return (
      <>
        {fields.map(({ name, said, remaining }) => (
          <span key={name}>
            {text.texts.quoted(text.texts.field(name, said))} <span className="small">{about}</span> <span className="soft small">{text.texts.remaining(remaining)}</span>{' '}
          </span>
        ))}
      </>
    );
  }
  return (
    <>
      {text.texts.quoted(item.text)} <span className="small">{about}</span> <span className="soft small">{text.texts.remaining(item.remaining)}</span>
    </>
  );
}

interface AskOnceProps {
  readonly person: Person;
  readonly confirmed: readonly string[];
  readonly onErased: (erased: ErasedPerson) => void;
  readonly onClose: () => void;
}

function AskOnce({ person, confirmed, onErased, onClose }: AskOnceProps) {
  const { api } = useOperator();
  const client = useQueryClient();
  const erasing = useMutation({
    mutationFn: (_asked: void, key) => api.erasePerson(person.id, confirmed, key),
    onSuccess: (answer) => {
      onErased(answer);
      // Every list may show the name.
      client.clear();
    },
  });
  return (
    <Confirm title={text.title(person.name)} action={text.erase} busy={erasing.isPending} error={erasing.error} onConfirm={() => erasing.mutate()} onClose={onClose}>
      <p>{text.lead}</p>
      <p>{text.confirm(confirmed.length)}</p>
    </Confirm>
  );
}

function Erased({ erased }: { readonly erased: ErasedPerson }) {
  const { to } = useOperator();
  return (
    <Page title={text.done.title}>
      <p role="status">
        {text.done.texts(erased.textsErased)} {text.done.signatures(erased.signaturesErased)} {text.done.invitations(erased.invitationsWithdrawn)}
      </p>
      <div>
        <Link className="button" to={to('keys')}>
          {text.done.keys}
        </Link>
      </div>
    </Page>
  );
}
