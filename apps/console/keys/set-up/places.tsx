import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { KeyPlace } from '../../api/shapes';
import { formatInstant } from '../../format/day';
import { locale } from '../../format/locale';
import { Answer, Blank } from '../../parts/answer';
import { Confirm } from '../../parts/confirm';
import { Field } from '../../parts/field';
import { errorAt } from '../../parts/form';
import { FormDialog } from '../../parts/form-dialog';
import { nameIn } from '../../parts/name-in';
import { useChangedMeanwhile } from '../../parts/use-changed-meanwhile';
import { useMutation } from '../../parts/use-mutation';
import { unless, useSending } from '../../parts/use-sending';
import { peopleQuery } from '../queries';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { at, today } from './day-field';
import { codeFromName } from './numbers';
import { asCode, wrongCode, OpenButton } from './parts';
import { PersonField } from './person-field';
import { placesAtQuery, setUpKey } from './queries';
import styles from './set-up.module.css';

const text = words.keySetUp.site;
interface AtSite {
  readonly siteId: string;
  readonly siteName: string;
}

/** Hooks and key safes at a site, each with who may take the keys from it. */
export function Places({ site }: { readonly site: AtSite }) {
  const { api, may } = useOperator();
  const [isAdding, setAdding] = useState(false);
  const question = useQuery(placesAtQuery(api, site.siteId));
  const add = may('key-place.create') ? <OpenButton onClick={() => setAdding(true)}>{text.addPlace}</OpenButton> : null;
  return (
    <section className="section" aria-labelledby="places">
      <h2 id="places">{text.places}</h2>
      <Answer question={question} lines={3}>
        {({ items }) =>
          items.length === 0 ? (
            <Blank title={text.noPlaces}>
              <p>{text.noPlacesWhat}</p>
              {add}
            </Blank>
          ) : (
            <>
              <div>
                {items.map((place) => (
                  <PlaceCard key={place.id} place={place} site={site} />
                ))}
              </div>
              <div>{add}</div>
            </>
          )
        }
      </Answer>
      {isAdding ? <PlaceForm site={site} place={null} onClose={() => setAdding(false)} /> : null}
    </section>
  );
}

type Wish = { readonly kind: 'change' | 'add-user' } | { readonly kind: 'end-user'; readonly user: KeyPlace['users'][number] };

function PlaceCard({ place, site }: { readonly place: KeyPlace; readonly site: AtSite }) {
  const { may } = useOperator();
  const [wish, setWish] = useState<Wish | null>(null);
  const mayChange = may('key-place.change');
  const users = place.users.filter(({ until }) => until === null);
  const close = () => setWish(null);
  return (
    <div className={styles.card}>
      <h3>
        {place.name} <span className="code small">{place.code}</span>
      </h3>
      <p>{text.responsibleIs(place.responsible.name, place.responsible.since === null ? null : formatInstant(place.responsible.since, locale))}</p>
      {place.formerResponsible.length === 0 ? null : (
        <p className="soft small">{text.formerlyResponsible(place.formerResponsible.map(({ name, until }) => text.until(name, formatInstant(until, locale))))}</p>
      )}
      <div>
        <p className="soft small">{text.users}</p>
        {users.length === 0 ? <p>{text.noUsers}</p> : (
          <ul className={styles.users}>
            {users.map((user) => (
              <li key={user.personId} className={styles.lock}>
                <span>{text.usedSince(user.name, formatInstant(user.from, locale))}</span>
                {mayChange ? <OpenButton about={user.name} onClick={() => setWish({ kind: 'end-user', user })}>{text.endUser}</OpenButton> : null}
              </li>
            ))}
          </ul>
        )}
      </div>
      {mayChange ? (
        <div className={styles.commands}>
          <OpenButton about={place.name} onClick={() => setWish({ kind: 'add-user' })}>{text.addUser}</OpenButton>
          <OpenButton about={place.name} onClick={() => setWish({ kind: 'change' })}>{text.changePlace}</OpenButton>
        </div>
      ) : null}
      {wish?.kind === 'change' ? <PlaceForm site={site} place={place} onClose={close} /> : null}
      {wish?.kind === 'add-user' ? <AddUser site={site} place={place} onClose={close} /> : null}
      {wish?.kind === 'end-user' ? <EndUser place={place} user={wish.user} onClose={close} /> : null}
    </div>
  );
}

interface PlaceFormProps {
  readonly site: AtSite;
  /** Null for a new one. */
  readonly place: KeyPlace | null;
  readonly onClose: () => void;
}

function PlaceForm({ site, place, onClose }: PlaceFormProps) {
  const { api } = useOperator();
  const id = useId();
  const [name, setName] = useState(place?.name ?? words.keySetUp.handOut.placeDefault);
  const [ownCode, setOwnCode] = useState<string | null>(null);
  const [responsiblePersonId, setPerson] = useState(place?.responsible.personId ?? '');
  const [since, setSince] = useState(today());
  const code = ownCode ?? codeFromName(`${name} ${site.siteName}`);
  const fields = { name: `${id}-name`, code: `${id}-code`, responsiblePersonId: `${id}-person`, since: `${id}-since` };
  const people = useQuery(peopleQuery(api));
  const edited = {
    thing: place,
    read: api.keyPlace,
    enteredOf: (of: KeyPlace) => ({ name: of.name, responsiblePersonId: of.responsible.personId }),
    fields: { name: { label: text.placeName }, responsiblePersonId: { label: text.responsible, says: nameIn(people.data) } },
  };
  const onEntered = (entered: { readonly name: string; readonly responsiblePersonId: string }) => {
    setName(entered.name);
    setPerson(entered.responsiblePersonId);
  };
  const { seen, onRefused, conflict } = useChangedMeanwhile(edited, { entered: { name, responsiblePersonId }, onEntered });
  const isSuccessor = seen !== null && responsiblePersonId !== seen.responsible.personId;
  const send = (wish: { name: string; code: string; responsiblePersonId: string }, key: string) =>
    seen === null
      ? api.createKeyPlace({ siteId: site.siteId, ...wish }, key)
      : api.changeKeyPlace({ id: seen.id, revision: seen.revision, body: { name: wish.name, ...(isSuccessor ? { responsiblePersonId: wish.responsiblePersonId, ...at('since', since) } : {}) } });
  const { errors, busy, submit } = useSending({ send, fields, changes: [setUpKey], onDone: onClose, onRefused });
  const sendIt = () =>
    submit({ name: name.trim(), code: asCode(code), responsiblePersonId }, [
      unless(name.trim() !== '', fields.name, words.keySetUp.nameMissing),
      wrongCode(code, fields.code),
      unless(responsiblePersonId !== '', fields.responsiblePersonId, text.responsibleMissing),
      unless(since !== '', fields.since, text.successorSinceMissing),
    ]);
  return (
    <FormDialog
      title={place === null ? text.addPlaceTitle : text.changePlaceTitle(place.name)} errors={errors} conflict={conflict} busy={busy}
      action={place === null ? text.addPlace : words.keySetUp.save} onSubmit={sendIt} onClose={onClose}
    >
      <Field id={fields.name} label={text.placeName} hint={text.placeNameHint} autoComplete="off" error={errorAt(errors, fields.name)} value={name} onValue={setName} />
      {place === null ? <Field id={fields.code} label={words.keys.code} hint={words.keySetUp.codeHint} autoComplete="off" error={errorAt(errors, fields.code)} value={code} onValue={setOwnCode} /> : null}
      <PersonField id={fields.responsiblePersonId} label={text.responsible} error={errorAt(errors, fields.responsiblePersonId)} employer={site} value={responsiblePersonId} onValue={setPerson} />
      {isSuccessor ? <Field id={fields.since} type="date" label={text.successorSince} hint={text.successorSinceHint(seen.responsible.name)} max={today()} error={errorAt(errors, fields.since)} value={since} onValue={setSince} /> : null}
    </FormDialog>
  );
}

function AddUser({ site, place, onClose }: { readonly site: AtSite; readonly place: KeyPlace; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const [personId, setPerson] = useState('');
  const fields = { personId: `${id}-person`, from: `${id}-person` };
  const { errors, busy, submit } = useSending({ send: api.addKeyPlaceUser, fields, changes: [setUpKey], onDone: onClose });
  const without = [place.responsible.personId, ...place.users.filter(({ until }) => until === null).map((user) => user.personId)];
  return (
    <FormDialog
      title={text.addUserTitle(place.name)} lead={text.addUserLead} errors={errors} busy={busy} action={text.addUser} onClose={onClose}
      onSubmit={() => submit({ id: place.id, body: { personId } }, [unless(personId !== '', fields.personId, text.personMissing)])}
    >
      <PersonField id={fields.personId} label={words.keys.openers.person} error={errorAt(errors, fields.personId)} employer={site} value={personId} without={without} onValue={setPerson} />
    </FormDialog>
  );
}

function EndUser({ place, user, onClose }: { readonly place: KeyPlace; readonly user: KeyPlace['users'][number]; readonly onClose: () => void }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const ending = useMutation({
    mutationFn: (_asked: void, key) => api.endKeyPlaceUser({ id: place.id, body: { personId: user.personId } }, key),
    onSuccess: async () => {
      await client.invalidateQueries({ queryKey: setUpKey });
      onClose();
    },
  });
  return (
    <Confirm title={text.endUserTitle(user.name)} action={text.endUser} busy={ending.isPending} error={ending.error} onConfirm={() => ending.mutate()} onClose={onClose}>
      <p>{text.endUserWhat}</p>
    </Confirm>
  );
}
