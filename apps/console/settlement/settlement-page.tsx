import { useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import { Link, useParams } from 'react-router';
import type { Settlement } from '../api/shapes';
import { formatDay, formatInstant, formatMonthFrom, formatPeriodAlone } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { StateMark } from '../parts/state-mark';
import { useActorName } from '../session/actor-name';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { Commands } from './commands';
import { LineAimProvider } from './line-aim';
import { Machines } from './machines-table';
import { OpenNotes } from './notes';
import { settlementQuery } from './queries';
import { ReversedNotice } from './reversal';
import { ReviewBar } from './review-bar';
import { Story } from './story';
import { Totals } from './totals';
import { blocks } from './waterfall';
import { WaterfallPicture } from './waterfall-picture';
import { WaterfallTable } from './waterfall-table';
import styles from './settlement.module.css';

/** `settlements/:id`: one settlement, every figure of which opens to its reason. */
export function SettlementPage() {
  const { settlementId = '' } = useParams();
  const { api, may } = useOperator();
  const allowed = may('settlement.read');
  const question = useQuery({ ...settlementQuery(api, settlementId), enabled: allowed });
  if (!allowed) return <Denied title={words.settlement.title} />;
  const settlement = question.data;
  return (
    // Another settlement is another screen, whose title takes the focus.
    <Page
      key={settlementId}
      title={settlement?.siteName ?? words.settlement.title}
      lead={settlement === undefined ? undefined : <Lead settlement={settlement} />}
      actions={settlement === undefined ? undefined : <Commands settlement={settlement} />}
    >
      <Answer question={question} lines={12}>
        {(found) => <Content settlement={found} />}
      </Answer>
    </Page>
  );
}

function Lead({ settlement }: { readonly settlement: Settlement }) {
  const { siteCode, state, number, kind, reversed } = settlement;
  return (
    <span className={styles.lead}>
      <span>{formatPeriodAlone(settlement, locale)}</span>
      <span className="code">{siteCode}</span>
      <StateMark state={state} />
      {reversed === null ? null : <span>{words.settlement.reversed}</span>}
      {number === null ? null : <span>{words.settlement.number(number)}</span>}
      {kind === 'regular' ? null : <span>{words.settlement.kind[kind]}</span>}
    </span>
  );
}

function Content({ settlement }: { readonly settlement: Settlement }) {
  const { membership, may } = useOperator();
  const { own, earlier, payout } = useMemo(() => blocks(settlement.lines, settlement.startsOn), [settlement]);
  const waterfalls = useMemo(() => [own, ...earlier.map(({ lines }) => lines), payout], [own, earlier, payout]);
  return (
    <LineAimProvider blocks={waterfalls} own={own}>
      {settlement.state === 'draft' && may('settlement.review', 'draft') ? <ReviewBar key={settlement.id} settlement={settlement} /> : null}
      <ReversedNotice settlement={settlement} />
      <OpenNotes settlement={settlement} />
      <Totals settlement={settlement} />
      {membership.role === 'site-manager' ? <Story totals={settlement.totals} /> : null}
      <WaterfallPicture lines={own} />
      <div className={styles.sideBySide}>
        <section className="section" aria-labelledby="waterfall">
          <h2 id="waterfall">{words.settlement.waterfall}</h2>
          <WaterfallTable lines={own} caption={words.settlement.waterfallCaption(settlement.currency)} />
        </section>
        <Terms settlement={settlement} />
      </div>
      {earlier.map((block) => (
        <section key={block.startsOn} className="section" aria-labelledby={`earlier-${block.startsOn}`}>
          <h2 id={`earlier-${block.startsOn}`}>{earlierTitle(block.startsOn, settlement)}</h2>
          <p className="soft">{words.settlement.earlierLead}</p>
          <WaterfallTable lines={block.lines} caption={words.settlement.waterfallCaption(settlement.currency)} />
        </section>
      ))}
      {payout.length === 0 ? null : (
        <section className="section" aria-labelledby="payout">
          <h2 id="payout">{words.settlement.payout}</h2>
          <p className="soft">{words.settlement.payoutLead}</p>
          <WaterfallTable lines={payout} caption={words.settlement.payoutCaption(settlement.currency)} />
        </section>
      )}
      <Machines lines={own} currency={settlement.currency} />
      <History settlement={settlement} />
    </LineAimProvider>
  );
}

/** Of an earlier period the lines say only on which day it began. */
function earlierTitle(startsOn: string, settlement: Settlement): string {
  const month = formatMonthFrom(startsOn, settlement, locale);
  return month === null ? words.settlement.earlierFrom(formatDay(startsOn, locale)) : words.settlement.earlier(month);
}

function Terms({ settlement }: { readonly settlement: Settlement }) {
  const { to } = useOperator();
  return (
    <section className="section" aria-labelledby="terms">
      <h2 id="terms">{words.settlement.terms}</h2>
      <ul className={styles.sentences}>
        {settlement.sentences.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
      <p>
        <Link to={to(`sites/${settlement.siteId}`)}>{words.settlement.site(settlement.siteName)}</Link>
      </p>
    </section>
  );
}

function History({ settlement }: { readonly settlement: Settlement }) {
  const { history, digest, engineVersion, statement } = settlement;
  const nameOf = useActorName();
  return (
    <section className="section" aria-labelledby="history">
      <h2 id="history">{words.settlement.history}</h2>
      <ol className={styles.history}>
        {history.map((event) => (
          <li key={`${event.happenedAt} ${event.kind}`}>
            <time dateTime={event.happenedAt} className="soft">
              {formatInstant(event.happenedAt, locale)}
            </time>
            <span>
              {event.orderedBy === null ? words.settlement.event(event.kind, nameOf(event.happenedBy)) : words.settlement.ordered(event.kind, nameOf(event.orderedBy))}
              {event.note === null ? null : <q className={styles.note}>{event.note}</q>}
            </span>
          </li>
        ))}
      </ol>
      <dl className={styles.proof}>
        <dt>{words.settlement.engine}</dt>
        <dd>{engineVersion}</dd>
        {digest === null ? null : (
          <>
            <dt>{words.settlement.digest}</dt>
            <dd className={styles.digest}>{digest}</dd>
          </>
        )}
        {statement.digest === null ? null : (
          <>
            <dt>{words.settlement.statementDigest}</dt>
            <dd className={styles.digest}>{statement.digest}</dd>
          </>
        )}
      </dl>
    </section>
  );
}
