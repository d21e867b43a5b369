import { useQuery } from '@tanstack/react-query';
import { useState, type ReactNode } from 'react';
import type { Retention, RetentionRule } from '../api/shapes';
import { formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { TitledTable } from '../parts/titled-table';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { DecideRetention } from './decide-retention';
import { goesInWords, keepInWords, whyInWords } from './in-words';
import { Holds } from './holds';
import { previewQuery, retentionQuery } from './queries';

const text = words.retention;

/** `retention`: for how long each kind of record is kept, what stops removing, and what was removed. */
export function RetentionPage() {
  const { api, may } = useOperator();
  const allowed = may('retention.read');
  const question = useQuery({ ...retentionQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  return (
    <Page title={text.title} lead={text.lead}>
      <Answer question={question} lines={12}>
        {(retention) => (
          <>
            <div className="notice">
              <strong>{text.stays}</strong>
              <p>{text.staysWhat}</p>
            </div>
            <Rules retention={retention} />
            <Holds holds={retention.holds} />
            <Said id="fixed" title={text.fixed}>
              <ul>
                {text.fixedWhat.map((each) => (
                  <li key={each}>{each}</li>
                ))}
              </ul>
            </Said>
            <Runs retention={retention} />
          </>
        )}
      </Answer>
    </Page>
  );
}

function Said({ id, title, children }: { readonly id: string; readonly title: string; readonly children: ReactNode }) {
  return (
    <section className="section" aria-labelledby={id}>
      <h2 id={id}>{title}</h2>
      {children}
    </section>
  );
}

function Rules({ retention }: { readonly retention: Retention }) {
  const { api, may } = useOperator();
  const nameOf = useActorName();
  const preview = useQuery(previewQuery(api));
  const [changing, setChanging] = useState<RetentionRule | null>(null);
  const mayDecide = may('retention.decide');
  return (
    <>
      <TitledTable
        id="kinds" title={text.kinds} none={text.nothing} columns={[text.kind, text.keptFor, text.because, text.tonight]}
        rows={retention.rules.map((rule) => (
          <tr key={rule.kind}>
            <th scope="row">
              {text.names[rule.kind]}
              <div className="soft small">{text.what[rule.kind]}</div>
              {mayDecide ? (
                <button type="button" className="button button-small" onClick={() => setChanging(rule)}>
                  {text.change}
                  <span className="visually-hidden">{` ${text.names[rule.kind]}`}</span>
                </button>
              ) : null}
            </th>
            <td>{keepInWords(rule)}</td>
            <td>
              {whyInWords(rule, retention)}
              {rule.decided === null ? null : <div className="soft small">{text.decidedBy({ by: nameOf(rule.decided.by), when: formatInstant(rule.decided.at, locale), reason: rule.decided.reason })}</div>}
            </td>
            <td>{goesInWords(preview.data, rule.kind)}</td>
          </tr>
        ))}
      />
      <p className="soft">{text.caution}</p>
      {changing === null ? null : <DecideRetention rule={changing} onClose={() => setChanging(null)} />}
    </>
  );
}

function Runs({ retention }: { readonly retention: Retention }) {
  return (
    <TitledTable
      id="runs" title={text.runs} none={text.noRuns} columns={[text.night, text.kind, text.removed, text.olderThan]} figures={[text.removed]}
      rows={retention.runs.map((run) => (
        <tr key={`${run.day} ${run.kind}`}>
          <th scope="row">{formatDay(run.day, locale)}</th>
          <td>{text.names[run.kind]}</td>
          <td className="figure">
            {run.removed.toLocaleString(locale)}
            {run.endedAt === null ? <div className="soft small">{text.cutOff}</div> : null}
          </td>
          <td>{formatInstant(run.before, locale)}</td>
        </tr>
      ))}
    />
  );
}
