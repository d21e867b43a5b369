import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { useParams, useSearchParams } from 'react-router';
import type { CopyHistory } from '../api/shapes';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { useActorName } from '../session/actor-name';
import { words } from '../words/words';
import { instantFrom } from './moment';
import { Download, Holder, KeyViews, Moment, MomentField, OutsideCopies, Wide } from './parts';
import { historyQuery, reachQuery } from './queries';
import { Reach } from './reach';

/** `keys/copies/:id`: where a copy was from the moment it was made, and what its loss would mean. */
export function KeyCopyPage() {
  const { copyId = '' } = useParams();
  const { api, may } = useOperator();
  const [parameters, setParameters] = useSearchParams();
  const knownAt = instantFrom(parameters, 'knownAt');
  const allowed = may('key-reach.read');
  const question = useQuery({ ...historyQuery(api, copyId, knownAt), enabled: allowed });
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
        {(history) => (
          <>
            <OutsideCopies codes={history.outsideCopies ? [history.code] : []} />
            <section className="section" aria-labelledby="history">
              <h2 id="history">{text.history}</h2>
              <div className="form">
                <MomentField
                  id="known-at" label={words.keys.knownAt} hint={words.keys.knownAtHint} instant={knownAt}
                  onInstant={(instant) => setParameters(instant === undefined ? {} : { knownAt: instant }, { replace: true })}
                />
              </div>
              <Stays stays={history.stays} />
              <Download file={() => api.keyHistoryFile(copyId, knownAt)} />
            </section>
            <IfLost key={copyId} copyId={copyId} />
          </>
        )}
      </Answer>
    </Page>
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

function IfLost({ copyId }: { readonly copyId: string }) {
  const { api } = useOperator();
  const [isAsked, setAsked] = useState(false);
  const question = useQuery({ ...reachQuery(api, copyId), enabled: isAsked });
  const text = words.keys.copy;
  return (
    <section className="section" aria-labelledby="if-lost">
      <h2 id="if-lost">{text.ifLost}</h2>
      <p className="soft">{text.ifLostLead}</p>
      {isAsked ? (
        <Answer question={question} lines={6}>
          {({ reach }) => <Reach reach={reach} />}
        </Answer>
      ) : (
        <div>
          <button type="button" className="button" onClick={() => setAsked(true)}>
            {text.ask}
          </button>
        </div>
      )}
    </section>
  );
}
