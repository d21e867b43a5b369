import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { OperatorApi } from '../../api/operator-api';
import type { KeyCode, KeyCopy, KeyRing, Person } from '../../api/shapes';
import { Answer } from '../../parts/answer';
import { ErrorSummary, type FormError } from '../../parts/error-summary';
import { errorInOneLine } from '../../parts/form-errors';
import { Page } from '../../parts/page';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { keyCodesQuery, peopleQuery } from '../queries';
import { AddPerson, worksFor } from './person-field';
import { copiesAtHandQuery, keyStoresQuery, setUpKey } from './queries';
import { planRings, type PlannedRing } from './ring-plan';
import styles from './set-up.module.css';

const text = words.keySetUp.rings;

/** Gives many people their keys in one go: a ring each, with a copy of every cut that they need. */
export function RingsForPeople({ rings, onClose }: { readonly rings: readonly KeyRing[]; readonly onClose: () => void }) {
  const { api } = useOperator();
  const people = useQuery(peopleQuery(api));
  // What is there when this opens; it is given away while it works.
  const copies = useQuery({ ...copiesAtHandQuery(api), staleTime: Infinity });
  const codes = useQuery({ ...keyCodesQuery(api), staleTime: Infinity });
  const stores = useQuery(keyStoresQuery(api));
  const custodians = stores.data?.flatMap(({ custodian }) => (custodian === null ? [] : [custodian.personId]));
  const onRings = new Set(rings.flatMap((ring) => ring.copies.map(({ keyCopyId }) => keyCopyId)));
  return (
    <Page title={text.severalTitle} lead={text.severalLead}>
      <Answer question={people} lines={6}>
        {(everybody) => (
          <Answer question={copies} lines={6}>
            {(held) => (
              <Answer question={{ ...codes, data: custodians === undefined ? undefined : codes.data }} lines={6}>
                {(known) => (
                  <Asking
                    people={everybody.filter((person) => worksFor(person, null))} copies={held} free={held.filter(({ id }) => !onRings.has(id))} codes={known}
                    custodians={custodians ?? []} onClose={onClose}
                  />
                )}
              </Answer>
            )}
          </Answer>
        )}
      </Answer>
    </Page>
  );
}

interface AskingProps {
  readonly people: readonly Person[];
  /** Everything that somebody has. */
  readonly copies: readonly KeyCopy[];
  /** Without what hangs on a ring already. */
  readonly free: readonly KeyCopy[];
  readonly codes: readonly KeyCode[];
  readonly custodians: readonly string[];
  readonly onClose: () => void;
}

function Asking({ people, copies, free, codes, custodians, onClose }: AskingProps) {
  const { api, may } = useOperator();
  const client = useQueryClient();
  const id = useId();
  const [made] = useState<Made>(() => ({ rings: new Map(), hung: new Set(), key: crypto.randomUUID() }));
  const held = (person: Person): number => copies.filter(({ where }) => where?.holder?.kind === 'person' && where.holder.id === person.id).length;
  const lying = (code: KeyCode): number => free.filter(({ keyCodeId, where }) => keyCodeId === code.id && where?.holder?.kind === 'store').length;
  const cuts = codes.filter((code) => lying(code) > 0);
  const [chosenPeople, setPeople] = useState<readonly string[]>(() => people.filter((person) => held(person) === 0 && !custodians.includes(person.id)).map((person) => person.id));
  const [chosenCodes, setCodes] = useState<readonly string[]>(() => cuts.filter((code) => code.class === 'cash-box').map((code) => code.id));
  const [given, setGiven] = useState<ReadonlySet<string>>(new Set());
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const [isBusy, setBusy] = useState(false);
  const [isAdding, setAdding] = useState(false);
  const plan = planRings({ people: people.filter((person) => chosenPeople.includes(person.id)), codeIds: chosenCodes, copies: free });
  const open = plan.filter(({ person }) => !given.has(person.id));
  const ready = open.filter(({ storeId }) => storeId !== null);
  const giveOut = async () => {
    if (ready.length === 0) return setErrors([{ fieldId: null, message: text.nothing }]);
    setBusy(true);
    setErrors(await giveAll(api, { ready, made, fieldId: (personId) => `${id}-${personId}`, onEach: (personId) => setGiven((before) => new Set(before).add(personId)) }));
    await client.invalidateQueries({ queryKey: setUpKey });
    setBusy(false);
  };
  const lackingCodes = codes.filter((code) => chosenCodes.includes(code.id)).map(({ code }) => code);
  const says = (person: Person): string | null => {
    if (given.has(person.id)) return words.keySetUp.handOut.given;
    const ring = plan.find((each) => each.person.id === person.id);
    if (ring === undefined) return null;
    return ring.storeId === null ? text.tooFew(lackingCodes) : text.gets(ring.code, ring.copies.map(({ number }) => number));
  };
  return (
    <form
      className="stack" noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (!isBusy) void giveOut();
      }}
    >
      <ErrorSummary errors={errors} />
      <Marks legend={text.cuts} none={text.noCuts} prefix={id} marked={chosenCodes} isFixed={given.size > 0} onMarked={setCodes} things={cuts.map((code) => ({ id: code.id, name: code.code, about: text.inStores(lying(code)) }))} />
      <Marks
        legend={text.who} none={text.whoLacking} prefix={id} marked={chosenPeople} isFixed={given.size > 0} onMarked={setPeople}
        things={people.map((person) => ({ id: person.id, name: person.name, about: [custodians.includes(person.id) ? text.custodian : null, held(person) === 0 || given.has(person.id) ? null : text.hasKeys(held(person)), says(person)].filter((each) => each !== null).join(', ') }))}
      />
      {may('person.create') && given.size === 0 ? (
        <div>
          <button type="button" className="button-plain" onClick={() => setAdding(true)}>
            {words.keySetUp.person.add}
          </button>
        </div>
      ) : null}
      {isAdding ? (
        <AddPerson
          employer={null} onClose={() => setAdding(false)}
          onAdded={(person) => {
            setAdding(false);
            setPeople((before) => [...before, person.id]);
          }}
        />
      ) : null}
      <p role="status">{given.size === 0 ? null : text.given(given.size)}</p>
      <div className="row">
        {given.size > 0 && ready.length === 0 ? null : (
          <button type="submit" className="button button-main" aria-disabled={isBusy}>
            {isBusy ? words.working : text.action(ready.length)}
          </button>
        )}
        <button type="button" className="button" onClick={onClose} disabled={isBusy}>
          {given.size > 0 ? text.back : words.cancel}
        </button>
      </div>
    </form>
  );
}

interface MarksProps {
  readonly legend: string;
  readonly none: string;
  readonly prefix: string;
  readonly things: readonly { readonly id: string; readonly name: string; readonly about: string }[];
  readonly marked: readonly string[];
  /** What was given already must not be dealt anew. */
  readonly isFixed: boolean;
  readonly onMarked: (marked: readonly string[]) => void;
}

function Marks({ legend, none, prefix, things, marked, isFixed, onMarked }: MarksProps) {
  return (
    <fieldset className={styles.choices}>
      <legend>{legend}</legend>
      {things.length === 0 ? <p className="soft">{none}</p> : null}
      {things.map((thing) => (
        <label key={thing.id}>
          <input
            id={`${prefix}-${thing.id}`} type="checkbox" disabled={isFixed} checked={marked.includes(thing.id)}
            onChange={(event) => onMarked(event.currentTarget.checked ? [...marked, thing.id] : marked.filter((each) => each !== thing.id))}
          />
          <span>
            {thing.name} <span className="soft small">{thing.about}</span>
          </span>
        </label>
      ))}
    </fieldset>
  );
}

/** What an attempt that was refused had done before, so that the next one goes on from there. */
interface Made {
  readonly rings: Map<string, string>;
  readonly hung: Set<string>;
  /** Begins the key of each request. */
  readonly key: string;
}

/** One person after the other. What is refused for one does not stop the next. */
async function giveAll(
  api: OperatorApi,
  of: { ready: readonly PlannedRing[]; made: Made; fieldId: (personId: string) => string; onEach: (personId: string) => void },
): Promise<readonly FormError[]> {
  const refused: FormError[] = [];
  for (const planned of of.ready) {
    const { person } = planned;
    try {
      await giveOne(api, planned, of.made);
      of.onEach(person.id);
    } catch (error) {
      const { message, ...more } = errorInOneLine(error);
      refused.push({ ...more, fieldId: of.fieldId(person.id), message: text.refused(person.name, message) });
    }
  }
  return refused;
}

async function giveOne(api: OperatorApi, { person, code, storeId, copies }: PlannedRing, { rings, hung, key }: Made): Promise<void> {
  if (storeId === null) throw new Error(`no store has the copies for ${code}`);
  const ringId = rings.get(person.id) ?? (await api.createKeyRing({ code }, `${key}:ring:${person.id}`)).id;
  rings.set(person.id, ringId);
  if (!hung.has(ringId)) await api.changeKeyRing({ id: ringId, body: { putOn: copies.map(({ id }) => id) } }, `${key}:hung:${ringId}`);
  hung.add(ringId);
  await api.recordKeyEvent({ kind: 'issued', keyRingId: ringId, from: { kind: 'store', id: storeId }, to: { kind: 'person', id: person.id }, reason: text.reason }, `${key}:issued:${ringId}`);
}
