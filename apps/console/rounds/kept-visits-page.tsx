import { useInfiniteQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-router';
import type { PhoneVisit } from '../api/shapes';
import { formatInstant, formatInstantAt } from '../format/day';
import { locale } from '../format/locale';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { More } from '../parts/more';
import { Page } from '../parts/page';
import { InEnglish, TroubleNotice } from '../parts/trouble';
import { useMutation } from '../parts/use-mutation';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { useSiteNames, useSiteZones } from '../sites/site-names';
import { words } from '../words/words';
import { Devices } from './devices';
import { phoneVisitsQuery, visitsKey, type KeptVisits } from './queries';
import { entriesOf, isExchanged, isLastBox, type Sent } from './leaves';
import { sayKept } from './say-kept';
import { useIssueNames } from './issue-names';
import { labelOf, sayLeaf } from './leaf-field';
import { Settle } from './settle';
import { useEntryNames } from './entry-names';
import styles from './rounds.module.css';

const text = words.rounds.kept;
const rulingWords = { entered: text.corrected, discarded: text.discarded, withdrawn: text.withdrawn };

/** `rounds/visits`: what phones sent and could not be entered, to be settled; and the phones. */
export function KeptVisitsPage() {
  const { may, to } = useOperator();
  if (!may('visit.read')) return <Denied title={text.title} />;
  const toRounds = may('collection-due.read') ? <Link className="button" to={to('rounds')}>{words.rounds.title}</Link> : undefined;
  return (
    <Page title={text.title} lead={text.lead} actions={toRounds}>
      <section className="section" aria-labelledby="waiting">
        <h2 id="waiting">{text.waiting}</h2>
        <Visits state="quarantined" />
      </section>
      <section className="section" aria-labelledby="withdrawn">
        <h2 id="withdrawn">{text.unseen}</h2>
        <p className="soft">{text.unseenLead}</p>
        <Visits state="withdrawn" seen="no" />
      </section>
      <section className="section" aria-labelledby="settled">
        <h2 id="settled">{text.settled}</h2>
        <NoneSettled />
        {settled.map((list) => (
          <Visits key={list.state} {...list} />
        ))}
      </section>
      {may('device.read') ? <Devices /> : null}
    </Page>
  );
}

const settled = [{ state: 'withdrawn', seen: 'yes' }, { state: 'corrected' }, { state: 'discarded' }] as const satisfies readonly KeptVisits[];

/** Said where all of the lists below it are empty. */
function NoneSettled() {
  const { api } = useOperator();
  const [withdrawn, corrected, discarded] = [useInfiniteQuery(phoneVisitsQuery(api, settled[0])), useInfiniteQuery(phoneVisitsQuery(api, settled[1])), useInfiniteQuery(phoneVisitsQuery(api, settled[2]))];
  const isEmpty = [withdrawn, corrected, discarded].every(({ data }) => data?.pages.every(({ items }) => items.length === 0) === true);
  return isEmpty ? <p className="soft">{text.noneSettled}</p> : null;
}

function Visits({ state, seen }: KeptVisits) {
  const { api } = useOperator();
  const question = useInfiniteQuery(phoneVisitsQuery(api, seen === undefined ? { state } : { state, seen }));
  const found = question.data?.pages.flatMap((page) => page.items);
  return (
    <Answer question={{ ...question, data: found }} lines={3}>
      {(visits) => (
        <>
          {visits.length === 0 && state === 'quarantined' ? <Blank title={text.none} /> : null}
          {visits.length === 0 && seen === 'no' ? <Blank title={text.noneUnseen} /> : null}
          <ul className={styles.rounds}>
            {visits.map((visit) => (
              <Kept key={visit.id} visit={visit} />
            ))}
          </ul>
          <More question={question} />
        </>
      )}
    </Answer>
  );
}

function Kept({ visit }: { readonly visit: PhoneVisit }) {
  const { may, to } = useOperator();
  const nameOf = useActorName();
  const siteNamed = useSiteNames();
  const zoneOf = useSiteZones();
  const { siteCode, happenedAt, personName, deviceName, receivedAt, problem, ruling, collectionId, seen } = visit;
  const when = happenedAt === null || Number.isNaN(Date.parse(happenedAt)) ? receivedAt : happenedAt;
  return (
    <li>
      <h3>{`${siteCode === null ? text.noSite : siteNamed(siteCode)}, ${formatInstantAt(when, locale, zoneOf({ code: siteCode }))}`}</h3>
      <p className="soft">{`${text.by(personName ?? text.noPerson, deviceName)}, ${text.received(formatInstant(receivedAt, locale))}`}</p>
      {ruling === null ? (
        <div className="notice notice-alarm">
          <strong>{text.why}</strong>
          {problem === null ? null : <Why problem={problem} />}
        </div>
      ) : (
        <p>
          {rulingWords[ruling.kind](nameOf(ruling.ruledBy), ruling.reason)}{' '}
          {collectionId === null ? null : <Link to={to(`collections/${collectionId}`)}>{words.collections.title}</Link>}
          {seen === null ? null : text.seenBy(nameOf(seen.by), formatInstant(seen.at, locale))}
        </p>
      )}
      {visit.visit === null ? null : <Says sent={visit.visit} />}
      {visit.removedAt === null ? null : <p className="soft">{text.gone(formatInstant(visit.removedAt, locale))}</p>}
      {ruling === null && may('visit.rule') ? <Settle visit={visit} /> : null}
      {visit.state === 'withdrawn' && seen === null && may('visit.see') ? <See id={visit.id} /> : null}
    </li>
  );
}

/** Why it was kept aside, in the language of the page; what only the api says, beside it in small print. */
function Why({ problem }: { readonly problem: NonNullable<PhoneVisit['problem']> }) {
  const { own, inEnglish } = sayKept(problem);
  return (
    <>
      <ul>
        {own.map((message) => (
          <li key={message}>{message}</li>
        ))}
      </ul>
      <InEnglish sentences={inEnglish} />
    </>
  );
}

/** Says that the office knows of a visit that was withdrawn, and so of the cash that it told of. */
function See({ id }: { readonly id: string }) {
  const { api } = useOperator();
  const client = useQueryClient();
  const seeing = useMutation({ mutationFn: api.seeVisit, onSuccess: async () => client.invalidateQueries({ queryKey: visitsKey }) });
  return (
    <div className="row">
      <button type="button" className="button" disabled={seeing.isPending} onClick={() => seeing.mutate({ id })}>
        {text.see}
      </button>
      {seeing.error === null ? null : <TroubleNotice error={seeing.error} />}
    </div>
  );
}

/** What came from the phone, for who has to decide about it. What its entries are called is asked for when it is opened. */
function Says({ sent }: { readonly sent: Sent }) {
  const [isOpen, setOpen] = useState(false);
  if (entriesOf(sent).length === 0) return null;
  return (
    <details onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{text.says}</summary>
      {isOpen ? <Entries sent={sent} /> : null}
    </details>
  );
}

function Entries({ sent }: { readonly sent: Sent }) {
  const entryOf = useEntryNames(sent);
  const nameOf = useIssueNames();
  return (
    <ul>
      {isExchanged(sent) ? <li>{words.phone.visit.exchanged}</li> : null}
      {entriesOf(sent).map(({ group, index, leaves }) => {
        const figures = leaves.map((leaf) => `${labelOf(leaf, nameOf)} ${sayLeaf(sent, leaf)}`);
        return <li key={`${group}/${index}`}>{text.entry(entryOf({ group, index }), [...figures, ...(isLastBox(sent, { group, index }) === true ? [text.lastBox] : [])].join(', '))}</li>;
      })}
    </ul>
  );
}
