import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { KeyCopy, KeyRing } from '../../api/shapes';
import { matches } from '../../format/search';
import { Answer, Blank } from '../../parts/answer';
import { Denied } from '../../parts/denied';
import { Field } from '../../parts/field';
import { errorAt } from '../../parts/form';
import { FormDialog } from '../../parts/form-dialog';
import { Page } from '../../parts/page';
import { useSending } from '../../parts/use-sending';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { asCode, wrongCode, OpenButton, SetUpViews } from './parts';
import { copiesAtHandQuery, keyRingsQuery, setUpKey } from './queries';
import { RingsForPeople } from './rings-for-people';
import styles from './set-up.module.css';

const text = words.keySetUp.rings;

/** `keys/rings`: copies that go out and come back together. */
export function KeyRingsPage() {
  const { api, may } = useOperator();
  const [isAdding, setAdding] = useState(false);
  const [changing, setChanging] = useState<KeyRing | null>(null);
  const [isForPeople, setForPeople] = useState(false);
  const allowed = may('key-ring.read');
  const question = useQuery({ ...keyRingsQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  if (isForPeople && question.data !== undefined) return <RingsForPeople rings={question.data} onClose={() => setForPeople(false)} />;
  const add = may('key-ring.create') ? (
    <div className={styles.commands}>
      <OpenButton main onClick={() => setAdding(true)}>{text.add}</OpenButton>
      <button type="button" className="button" onClick={() => setForPeople(true)}>
        {text.several}
      </button>
    </div>
  ) : null;
  return (
    <Page title={text.title} lead={text.lead} actions={<SetUpViews />}>
      <Answer question={question} lines={5}>
        {(rings) =>
          rings.length === 0 ? (
            <Blank title={text.none}>
              <p>{text.noneWhat}</p>
              {add}
            </Blank>
          ) : (
            <>
              {add}
              <Rings rings={rings} onChange={may('key-ring.change') ? setChanging : null} />
            </>
          )
        }
      </Answer>
      {isAdding ? <NewRing onClose={() => setAdding(false)} onMade={setChanging} /> : null}
      {changing === null ? null : <ChangeRing ring={changing} others={question.data?.filter(({ id }) => id !== changing.id) ?? []} onClose={() => setChanging(null)} />}
    </Page>
  );
}

function Rings({ rings, onChange }: { readonly rings: readonly KeyRing[]; readonly onChange: ((ring: KeyRing) => void) | null }) {
  return (
    <table>
      <caption className="visually-hidden">{text.title}</caption>
      <thead>
        <tr>
          <th scope="col">{text.ring}</th>
          <th scope="col">{text.copies}</th>
          {onChange === null ? null : (
            <th scope="col">
              <span className="visually-hidden">{words.commands}</span>
            </th>
          )}
        </tr>
      </thead>
      <tbody>
        {rings.map((ring) => (
          <tr key={ring.id}>
            <th scope="row" className="whole">{ring.code}</th>
            <td>{ring.copies.length === 0 ? <span className="soft">{text.empty}</span> : ring.copies.map(({ number }) => number).join(', ')}</td>
            {onChange === null ? null : (
              <td>
                <OpenButton about={ring.code} onClick={() => onChange(ring)}>
                  {text.change}
                </OpenButton>
              </td>
            )}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** Names a ring and goes straight on to what hangs on it. */
function NewRing({ onMade, onClose }: { readonly onMade: (ring: KeyRing) => void; readonly onClose: () => void }) {
  const { api } = useOperator();
  const id = useId();
  const [code, setCode] = useState('');
  const fields = { code: `${id}-code` };
  const { errors, busy, submit } = useSending({
    send: api.createKeyRing,
    fields,
    changes: [setUpKey],
    onDone: (ring) => {
      onClose();
      onMade(ring);
    },
  });
  return (
    <FormDialog title={text.addTitle} errors={errors} busy={busy} action={text.add} onClose={onClose} onSubmit={() => submit({ code: asCode(code) }, [wrongCode(code, fields.code)])}>
      <Field id={fields.code} label={words.keys.code} hint={words.keySetUp.codeHint} autoComplete="off" error={errorAt(errors, fields.code)} value={code} onValue={setCode} />
    </FormDialog>
  );
}

const MOST_SHOWN = 8;

interface ChangeRingProps {
  readonly ring: KeyRing;
  /** What hangs on them is not to be had. */
  readonly others: readonly KeyRing[];
  readonly onClose: () => void;
}

function ChangeRing({ ring, others, onClose }: ChangeRingProps) {
  const { api } = useOperator();
  const id = useId();
  const question = useQuery(copiesAtHandQuery(api));
  const elsewhere = new Set(others.flatMap(({ copies }) => copies.map(({ keyCopyId }) => keyCopyId)));
  const before = ring.copies.map(({ keyCopyId }) => keyCopyId);
  const [marked, setMarked] = useState<readonly string[]>(before);
  const [search, setSearch] = useState('');
  const fields = { putOn: `${id}-find`, takeOff: `${id}-find` };
  const { errors, busy, submit } = useSending({ send: api.changeKeyRing, fields, changes: [setUpKey], onDone: onClose });
  const send = () => submit({ id: ring.id, body: { putOn: marked.filter((each) => !before.includes(each)), takeOff: before.filter((each) => !marked.includes(each)) } }, []);
  return (
    <FormDialog title={text.changeTitle(ring.code)} lead={text.changeLead} errors={errors} busy={busy} action={words.keySetUp.save} onSubmit={send} onClose={onClose}>
      <Field id={fields.putOn} type="search" label={text.find} autoComplete="off" error={errorAt(errors, fields.putOn)} value={search} onValue={setSearch} />
      <Answer question={question} lines={4}>
        {(copies) => (
          <fieldset className={styles.choices}>
            <legend>{text.copies}</legend>
            <CopyChoices copies={copies.filter(({ id: copyId }) => !elsewhere.has(copyId))} marked={marked} search={search} onMarked={setMarked} />
          </fieldset>
        )}
      </Answer>
    </FormDialog>
  );
}

interface CopyChoicesProps {
  readonly copies: readonly KeyCopy[];
  readonly marked: readonly string[];
  readonly search: string;
  readonly onMarked: (marked: readonly string[]) => void;
}

function CopyChoices({ copies, marked, search, onMarked }: CopyChoicesProps) {
  const chosen = copies.filter(({ id }) => marked.includes(id));
  const others = copies.filter((copy) => !marked.includes(copy.id) && matches(search, [copy.number, copy.code]));
  const left = others.length - MOST_SHOWN;
  return (
    <>
      {[...chosen, ...others.slice(0, MOST_SHOWN)].map((copy) => (
        <label key={copy.id}>
          <input type="checkbox" checked={marked.includes(copy.id)} onChange={(event) => onMarked(event.currentTarget.checked ? [...marked, copy.id] : marked.filter((each) => each !== copy.id))} />
          {text.copy(copy.number, copy.code, copy.where?.holder?.name ?? words.keys.state.missing)}
        </label>
      ))}
      {left > 0 ? <p className="soft small">{text.more(left)}</p> : null}
    </>
  );
}
