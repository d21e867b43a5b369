import { useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { useState, type ReactNode } from 'react';
import type { Policies, Policy, RelaxedRecord } from '../api/shapes';
import { formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { More } from '../parts/more';
import { Page } from '../parts/page';
import { Wide } from '../parts/wide';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { Moment } from './parts';
import { ChangePolicy } from './policy-form';
import { Decided } from './policy-history';
import { linesOf } from './policy-lines';
import { policiesQuery, relaxedRecordsQuery } from './queries';
import { OpenButton, SetUpViews } from './set-up/parts';
import styles from './keys.module.css';

const text = words.keyPolicy;

/** `keys/policy`: the rules that the owner may relax, what was decided about them, and what a relaxed rule let pass. */
export function KeyPolicyPage() {
  const { api, may } = useOperator();
  const [isChanging, setChanging] = useState(false);
  const allowed = may('policy.read');
  const question = useQuery({ ...policiesQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  return (
    <Page title={text.title} lead={text.lead} actions={<SetUpViews />}>
      <Answer question={question} lines={10}>
        {(policies) => (
          <>
            {policies.reviewOverdue ? <Review reviewOn={policies.current.onePersonReviewOn} /> : null}
            <InForce policies={policies} change={may('policy.decide') ? <OpenButton main onClick={() => setChanging(true)}>{text.change}</OpenButton> : null} />
            <RelaxedRecords />
            {policies.decided.length === 0 ? null : <Decided decided={policies.decided} />}
            {isChanging ? <ChangePolicy policies={policies} onClose={() => setChanging(false)} /> : null}
          </>
        )}
      </Answer>
    </Page>
  );
}

function Review({ reviewOn }: { readonly reviewOn: string | null }) {
  if (reviewOn === null) return null;
  return (
    <div className="notice notice-alarm">
      <strong>{text.reviewTitle}</strong>
      <p>{text.reviewWhat(formatDay(reviewOn, locale))}</p>
    </div>
  );
}

function InForce({ policies, change }: { readonly policies: Policies; readonly change: ReactNode }) {
  const { current, onePersonHolds, secondPeople } = policies;
  return (
    <section className="section" aria-labelledby="in-force">
      <h2 id="in-force">{text.now}</h2>
      {current.effectiveFrom === null ? <p>{text.strict}</p> : <DecidedBy policy={current} from={current.effectiveFrom} />}
      <Wide title={text.now}>
        <table>
          <caption className="visually-hidden">{text.now}</caption>
          <thead>
            <tr>
              <th scope="col">{text.rule}</th>
              <th scope="col">{text.inForce}</th>
            </tr>
          </thead>
          <tbody>
            {linesOf(current).map(({ rule, says, isRelaxed }) => (
              <tr key={rule}>
                <th scope="row">{text.rules[rule]}</th>
                <td>
                  {says} {isRelaxed ? <span className="state state-alarm">{text.relaxed}</span> : null}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
      {current.onePersonReviewOn !== null && !onePersonHolds ? <p>{text.notAlone(secondPeople.join(', '))}</p> : null}
      {change === null ? null : <div>{change}</div>}
    </section>
  );
}

function DecidedBy({ policy, from }: { readonly policy: Policy; readonly from: string }) {
  const nameOf = useActorName();
  return (
    <div>
      <p>{text.decidedBy({ by: nameOf(policy.recordedBy ?? ''), from: formatInstant(from, locale) })}</p>
      <p className="soft">{policy.reason}</p>
    </div>
  );
}

function RelaxedRecords() {
  const { api } = useOperator();
  const question = useInfiniteQuery(relaxedRecordsQuery(api));
  return (
    <section className="section" aria-labelledby="relaxed">
      <h2 id="relaxed">{text.records}</h2>
      <Answer question={question} lines={3}>
        {({ pages }) => {
          const records = pages.flatMap(({ items }) => items);
          return records.length === 0 ? <p className="soft">{text.noRecords}</p> : <RecordTable records={records} />;
        }}
      </Answer>
      <More question={question} />
    </section>
  );
}

function RecordTable({ records }: { readonly records: readonly RelaxedRecord[] }) {
  const nameOf = useActorName();
  const hasReview = records.some(({ reviewOn }) => reviewOn !== null);
  return (
    <>
      <p className="soft">{text.recordsLead}</p>
      <Wide title={text.records}>
        <table>
          <caption className="visually-hidden">{text.records}</caption>
          <thead>
            <tr>
              {[text.what, text.why, words.recorded, ...(hasReview ? [text.review] : [])].map((column) => (
                <th key={column} scope="col">
                  {column}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {records.map(({ recordId, rule, kind, about, recordedAt, recordedBy, reviewOn }) => (
              <tr key={`${recordId} ${rule}`}>
                <th scope="row">
                  {rule === 'back-to-custodian' ? text.handedOver : text.kinds[kind]} <div className="soft small">{about ?? text.allKeys}</div>
                </th>
                <td>{text.broken[rule]}</td>
                <td>
                  <Moment instant={recordedAt} /> <div className="soft small">{text.recordedBy(nameOf(recordedBy))}</div>
                </td>
                {hasReview ? <td className={styles.whole}>{reviewOn === null ? null : formatDay(reviewOn, locale)}</td> : null}
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </>
  );
}
