import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { Link } from 'react-router';
import type { OperatorApi } from '../../api/operator-api';
import type { KeyCopy, KeySite, Person } from '../../api/shapes';
import { Answer } from '../../parts/answer';
import { ErrorSummary, type FormError } from '../../parts/error-summary';
import { Field } from '../../parts/field';
import { errorInOneLine } from '../../parts/form-errors';
import { Page } from '../../parts/page';
import { SelectField } from '../../parts/select-field';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { peopleQuery } from '../queries';
import { PersonField } from './person-field';
import { copiesAtHandQuery, setUpKey } from './queries';
import { planHandOut, type Handing } from './sites';
import styles from './set-up.module.css';

const text = words.keySetUp.handOut;

interface HandOutProps {
  readonly sites: readonly KeySite[];
  readonly onClose: () => void;
}

/** Gives each of the sites a key in one go; everything that can be guessed is, and can be changed before. */
export function HandOut({ sites, onClose }: HandOutProps) {
  const { api } = useOperator();
  // What is there when this opens; it is given away while it works.
  const people = useQuery({ ...peopleQuery(api), staleTime: Infinity });
  const copies = useQuery({ ...copiesAtHandQuery(api), staleTime: Infinity });
  return (
    <Page title={text.title} lead={text.lead}>
      <Answer question={people} lines={8}>
        {(everybody) => <Answer question={copies} lines={8}>{(held) => <Handings sites={sites} people={everybody} copies={held} onClose={onClose} />}</Answer>}
      </Answer>
    </Page>
  );
}

type Chosen = ReadonlyMap<string, { readonly personId?: string; readonly copyId?: string }>;
interface Ready {
  readonly handing: Handing;
  readonly personId: string;
  readonly copy: KeyCopy;
}

interface HandingsProps extends HandOutProps {
  readonly people: readonly Person[];
  readonly copies: readonly KeyCopy[];
}

function Handings({ sites, people, copies, onClose }: HandingsProps) {
  const { api } = useOperator();
  const client = useQueryClient();
  const id = useId();
  const [place, setPlace] = useState(text.placeDefault);
  const [chosen, setChosen] = useState<Chosen>(new Map());
  const [given, setGiven] = useState<ReadonlySet<string>>(new Set());
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const [isBusy, setBusy] = useState(false);
  // A place that was set up before its key was refused is not set up twice.
  const [made] = useState(() => new Map<string, string>());
  const [key] = useState(() => crypto.randomUUID());
  const [plan] = useState(() => planHandOut({ sites, copies, people }));
  const ready = plan.flatMap((handing): Ready[] => {
    const { siteId } = handing.site;
    const own = chosen.get(siteId);
    const personId = own?.personId ?? handing.personId ?? firstOf(people, siteId);
    const copy = own?.copyId === undefined ? handing.copy : (copies.find((each) => each.id === own.copyId) ?? null);
    return given.has(siteId) || personId === '' || copy === null ? [] : [{ handing, personId, copy }];
  });
  const change = (siteId: string, what: { personId?: string; copyId?: string }) => setChosen(new Map(chosen).set(siteId, { ...chosen.get(siteId), ...what }));
  const handOut = async () => {
    if (place.trim() === '') return setErrors([{ fieldId: `${id}-place`, message: words.keySetUp.nameMissing }]);
    setBusy(true);
    const { done, refused } = await handOutAll(api, { ready, place: place.trim(), made, key, onEach: (siteId) => setGiven((before) => new Set(before).add(siteId)) });
    setErrors(refused.map(({ siteId, siteName, message, ...error }) => ({ ...error, fieldId: `${id}-${siteId}-person`, message: text.refused(siteName, message) })));
    setBusy(false);
    if (done > 0) await client.invalidateQueries({ queryKey: setUpKey });
  };
  return (
    <form
      className="stack" noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (!isBusy) void handOut();
      }}
    >
      <ErrorSummary errors={errors} />
      <div className={styles.narrow}>
        <Field id={`${id}-place`} label={text.place} hint={text.placeHint} autoComplete="off" value={place} onValue={setPlace} />
      </div>
      <ul aria-label={text.title}>
        {plan.map((handing) => (
          <HandingRow
            key={handing.site.siteId} id={`${id}-${handing.site.siteId}`} handing={handing} isGiven={given.has(handing.site.siteId)}
            own={chosen.get(handing.site.siteId) ?? {}} copies={freeFor(handing, { copies, ready })} somebody={firstOf(people, handing.site.siteId)}
            onChange={(what) => change(handing.site.siteId, what)}
          />
        ))}
      </ul>
      <p role="status">{given.size > 0 && (ready.length === 0 || !isBusy) ? text.all(given.size) : isBusy ? text.working(given.size, given.size + ready.length) : text.ready(ready.length, plan.length)}</p>
      <div className="row">
        {ready.length === 0 ? null : (
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

const firstOf = (people: readonly Person[], siteId: string): string => people.find((person) => person.siteId === siteId && person.leftOn === null)?.id ?? '';

/** Copies in a store that fit the site and are meant for no other. */
function freeFor(handing: Handing, of: { copies: readonly KeyCopy[]; ready: readonly Ready[] }): readonly KeyCopy[] {
  const forOthers = new Set(of.ready.filter((each) => each.handing !== handing).map(({ copy }) => copy.id));
  return of.copies.filter((copy) => copy.where?.holder?.kind === 'store' && handing.codes.some(({ keyCodeId }) => keyCodeId === copy.keyCodeId) && !forOthers.has(copy.id));
}

interface HandingRowProps {
  readonly id: string;
  readonly handing: Handing;
  readonly isGiven: boolean;
  readonly own: { readonly personId?: string; readonly copyId?: string };
  readonly copies: readonly KeyCopy[];
  /** Somebody of the site, added since this opened. */
  readonly somebody: string;
  readonly onChange: (what: { personId?: string; copyId?: string }) => void;
}

function HandingRow({ id, handing, isGiven, own, copies, somebody, onChange }: HandingRowProps) {
  const { site } = handing;
  const [place] = site.places;
  const personId = own.personId ?? handing.personId ?? somebody;
  return (
    <li className={styles.handing} aria-labelledby={`${id}-site`}>
      <div>
        <strong id={`${id}-site`}>{site.siteName}</strong> <span className="code small">{site.siteCode}</span>
        <div className="soft small">{place === undefined ? text.newPlace : text.hangsAt(place.name)}</div>
        {site.copies === 0 ? null : <div className="soft small">{text.has(site.copies)}</div>}
      </div>
      {isGiven ? (
        <strong>{text.given}</strong>
      ) : (
        <>
          {place === undefined ? (
            <PersonField
              id={`${id}-person`} label={text.answers} error={personId === '' ? text.noPerson : undefined} employer={{ siteId: site.siteId, siteName: site.siteName }}
              value={personId} onValue={(value) => onChange({ personId: value })}
            />
          ) : (
            <span />
          )}
          <CopyField id={id} handing={handing} copies={copies} value={own.copyId ?? handing.copy?.id ?? ''} onCopy={(copyId) => onChange({ copyId })} />
        </>
      )}
    </li>
  );
}

interface CopyFieldProps {
  readonly id: string;
  readonly handing: Handing;
  readonly copies: readonly KeyCopy[];
  readonly value: string;
  readonly onCopy: (copyId: string) => void;
}

function CopyField({ id, handing: { codes }, copies, value, onCopy }: CopyFieldProps) {
  const { to } = useOperator();
  const [code] = codes;
  if (code === undefined) return <p className={styles.lack}>{text.noCode}</p>;
  if (copies.length === 0) {
    return (
      <p>
        <span className={styles.lack}>{text.noCopy(code.code)}</span> <Link to={to(`keys/codes/${code.keyCodeId}`)}>{words.keySetUp.code.make}</Link>
      </p>
    );
  }
  return <SelectField id={`${id}-copy`} label={text.copy} value={value} none={text.nothing} options={copies.map((each) => ({ value: each.id, text: each.number }))} onValue={onCopy} />;
}

interface Refused extends Pick<FormError, 'message' | 'inEnglish'> {
  readonly siteId: string;
  readonly siteName: string;
}

/** One site after the other. What is refused at one does not stop the next; what was given stays given. */
async function handOutAll(
  api: OperatorApi,
  of: { ready: readonly Ready[]; place: string; made: Map<string, string>; key: string; onEach: (siteId: string) => void },
): Promise<{ readonly done: number; readonly refused: readonly Refused[] }> {
  const refused: Refused[] = [];
  for (const each of of.ready) {
    const { siteId, siteName } = each.handing.site;
    try {
      await handOutOne(api, each, of);
      of.onEach(siteId);
    } catch (error) {
      refused.push({ siteId, siteName, ...errorInOneLine(error) });
    }
  }
  return { done: of.ready.length - refused.length, refused };
}

async function handOutOne(api: OperatorApi, { handing, personId, copy }: Ready, { place: name, made, key }: { place: string; made: Map<string, string>; key: string }): Promise<void> {
  const { site, placeId } = handing;
  const holder = copy.where?.holder;
  if (holder === undefined || holder === null) throw new Error(`${copy.number} lies in no store`);
  const wanted = { siteId: site.siteId, code: `KEYS-${site.siteCode}`.slice(0, 20), name, responsiblePersonId: personId };
  const place = placeId ?? made.get(site.siteId) ?? (await api.createKeyPlace(wanted, `${key}:place:${site.siteId}`)).id;
  made.set(site.siteId, place);
  await api.recordKeyEvent({ kind: 'issued', keyCopyIds: [copy.id], from: { kind: holder.kind, id: holder.id }, to: { kind: 'place', id: place }, reason: text.reason }, `${key}:issued:${copy.id}:${place}`);
}
