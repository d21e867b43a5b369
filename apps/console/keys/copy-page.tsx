import { useQuery } from '@tanstack/react-query';
import { useParams, useSearchParams } from 'react-router';
import type { CopyHistory } from '../api/shapes';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Download } from '../parts/download';
import { Page } from '../parts/page';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { useActorName } from '../session/actor-name';
import { words } from '../words/words';
import { CustodyChart } from './custody-chart';
import { IfLost } from './if-lost';
import { instantFrom } from './moment';
import { Holder, KeyViews, Moment, MomentField, OutsideCopies } from './parts';
import { historyQuery } from './queries';
import { CaseLink } from './cases/case-link';
import { CopyEvents } from './record/events';
import { RecordButton } from './record/record-button';

/** `keys/copies/:id`: where a copy was from the moment it was made, and what its loss would mean. */
export function KeyCopyPage() {
  const { copyId = '' } = useParams();
  const { api, may } = useOperator();
  const [parameters, setParameters] = useSearchParams();
  const knownAt = instantFrom(parameters, 'knownAt');
  const allowed = may('key-reach.read');
  const question = useQuery({ ...historyQuery(api, copyId, undefined), enabled: allowed });
  // Apart from the copy itself: another moment is another question, and its field must not go from under who types in it.
  const asked = useQuery({ ...historyQuery(api, copyId, knownAt), enabled: allowed });
  if (!allowed) return <Denied title={words.keys.title} />;
  const copy = question.data;
  const text = words.keys.copy;
  return (
    <Page
      title={copy === undefined ? words.keys.title : text.title(copy.number)}
      lead={copy === undefined ? undefined : text.lead(copy.code, words.keys.class[copy.class])}
      actions={<KeyViews />}
    >
      <Answer question={question} lines={8}>
        {(known) => (
          <>
            <OutsideCopies codes={known.outsideCopies ? [known.code] : []} />
            {knownAt === undefined ? <Now history={known} /> : null}
            <section className="section" aria-labelledby="history">
              <h2 id="history">{text.history}</h2>
              <div className="form">
                <MomentField
                  id="known-at" label={words.keys.knownAt} hint={words.keys.knownAtHint} instant={knownAt}
                  onInstant={(instant) => setParameters(instant === undefined ? {} : { knownAt: instant }, { replace: true })}
                />
              </div>
              <Answer question={asked} lines={8}>
                {(history) => (
                  <>
                    <CustodyChart history={history} />
                    <Stays stays={history.stays} />
                  </>
                )}
              </Answer>
              <Download file={() => api.keyHistoryFile(copyId, knownAt)} />
            </section>
            {may('key-copy.read') ? (
              <section className="section" aria-labelledby="events">
                <h2 id="events">{words.custody.events.title}</h2>
                <CopyEvents copyId={copyId} />
              </section>
            ) : null}
            {known.stays.at(-1)?.state === 'missing' ? null : <IfLost key={copyId} copyId={copyId} />}
          </>
        )}
      </Answer>
    </Page>
  );
}

/** Where it is, and what can be recorded of it. */
function Now({ history }: { readonly history: CopyHistory }) {
  const { keyCopyId, number, class: kind, stays } = history;
  const last = stays.at(-1);
  if (last === undefined) return null;
  const where = { state: last.state, holder: last.holder, since: last.from, dueBackAt: last.dueBackAt };
  return (
    <div className="row">
      <p className="lead">
        {last.holder === null ? <State state={last.state} /> : <Holder holder={last.holder} />} <span className="soft small">· {words.keys.since} <Moment instant={last.from} /></span>
        {last.dueBackAt === null ? null : <span className="soft small">, {words.keys.dueBack} <Moment instant={last.dueBackAt} /></span>}
      </p>
      {last.state === 'missing' ? <CaseLink copyId={keyCopyId} /> : null}
      <RecordButton key={last.eventId} copy={{ keyCopyId, number, class: kind, where }} size="main" />
    </div>
  );
}

function Stays({ stays }: Pick<CopyHistory, 'stays'>) {
  const nameOf = useActorName();
  const text = words.keys.copy;
  return (
    <Wide title={text.history}>
      <table>
        <caption className="visually-hidden">{text.history}</caption>
        <thead>
          <tr>
            <th scope="col">{words.keys.since}</th>
            <th scope="col">{words.keys.until}</th>
            <th scope="col">{words.keys.with}</th>
            <th scope="col">{text.happened}</th>
            <th scope="col">{text.recorded}</th>
          </tr>
        </thead>
        <tbody>
          {[...stays].reverse().map((stay) => (
            <tr key={stay.from}>
              <th scope="row">
                <Moment instant={stay.from} />
              </th>
              <td>{stay.to === null ? words.keys.still : <Moment instant={stay.to} />}</td>
              <td>{stay.holder === null ? <State state={stay.state} /> : <Holder holder={stay.holder} />}</td>
              <td>
                {text.says[stay.says] ?? stay.says} <div className="soft small">{stay.reason}</div>
              </td>
              <td>
                <Moment instant={stay.recordedAt} /> <div className="soft small">{nameOf(stay.recordedBy)}</div>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

function State({ state }: { readonly state: CopyHistory['stays'][number]['state'] }) {
  return <span className="state state-alarm">{state === 'destroyed' ? words.keys.state.destroyed : words.keys.state.missing}</span>;
}
