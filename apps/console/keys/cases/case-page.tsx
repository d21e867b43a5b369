import { useQuery } from '@tanstack/react-query';
import { useParams } from 'react-router';
import type { KeyCase } from '../../api/shapes';
import { formatInstant } from '../../format/day';
import { locale } from '../../format/locale';
import { formatMoney } from '../../format/money';
import { Answer } from '../../parts/answer';
import { Denied } from '../../parts/denied';
import { Page } from '../../parts/page';
import { useActorName } from '../../session/actor-name';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { KeyViews, Moment, OutsideCopies } from '../parts';
import { Reach } from '../reach';
import { CopiesToCallIn, CopiesToGive } from './copies';
import { Exposed, Steps } from './history';
import { Locks } from './locks';
import { NewCut } from './new-cut';
import { Next } from './next';
import { caseQuery } from './queries';
import { CloseCase, EndCase } from './close-case';
import styles from '../keys.module.css';

const text = words.keyCases;

/** `keys/cases/:id`: what a lost key opens, and what is done about it. */
export function KeyCasePage() {
  const { caseId = '' } = useParams();
  const { api, may } = useOperator();
  const allowed = may('key-case.read');
  const question = useQuery({ ...caseQuery(api, caseId), enabled: allowed });
  if (!allowed) return <Denied title={text.titlePlain} />;
  const found = question.data;
  return (
    <Page
      title={found === undefined ? text.titlePlain : text.title({ cause: found.cause, code: found.keyCode.code, numbers: found.lostCopies.map(({ number }) => number).join(', ') })}
      lead={found === undefined ? undefined : text.caseLead({ code: found.keyCode.code, kind: words.keys.class[found.keyCode.class], state: text.state[found.state] })}
      actions={<KeyViews />}
    >
      <Answer question={question} lines={12}>
        {(lost) => (
          <>
            <OutsideCopies codes={lost.keyCode.outsideCopies ? [lost.keyCode.code] : []} />
            <Standing lost={lost} />
            <Next lost={lost} />
            <NewCut key={lost.newCode?.keyCodeId ?? ''} lost={lost} />
            <Locks lost={lost} />
            <CopiesToGive lost={lost} />
            <CopiesToCallIn lost={lost} />
            <Exposed caseId={caseId} />
            <Steps lost={lost} />
            <details className="folded">
              <summary>
                <h2>{text.reach}</h2>
              </summary>
              <Reach reach={lost.reach} />
            </details>
            <div className="row" id="ending" role="group" aria-label={text.ending} tabIndex={-1}>
              <CloseCase lost={lost} />
              <EndCase lost={lost} />
            </div>
          </>
        )}
      </Answer>
    </Page>
  );
}

/** How far it is, and what was at stake. */
function Standing({ lost }: { readonly lost: KeyCase }) {
  const nameOf = useActorName();
  const { progress, reach, closed, happenedAt, reason, surelyHeldUntil } = lost;
  return (
    <section className="section" aria-label={text.progress}>
      {closed === null ? null : <p className="notice">{text.closed({ when: formatInstant(closed.at, locale), who: nameOf(closed.by), reason: closed.reason })}</p>}
      <p className="lead">{text.status(progress)}</p>
      {progress.locks === 0 ? null : <progress aria-label={text.progress} max={progress.locks} value={progress.changed} />}
      <dl className={styles.facts}>
        <div>
          <dt>{text.exposedNow}</dt>
          <dd>{reach.cash.length === 0 ? text.noCash : reach.cash.map((money) => formatMoney(money, locale)).join(', ')}</dd>
        </div>
        {progress.nextDueAt === null ? null : (
          <div>
            <dt>{text.next}</dt>
            <dd>
              <Moment instant={progress.nextDueAt} /> {progress.overdue === 0 ? null : <span className="state state-alarm">{text.overdue(progress.overdue)}</span>}
            </dd>
          </div>
        )}
      </dl>
      <p>{text.noticedOn(formatInstant(happenedAt, locale), reason)}</p>
      <p className="soft">{text.surely(formatInstant(surelyHeldUntil, locale))}</p>
    </section>
  );
}
