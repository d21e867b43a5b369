import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useEffect, useRef, type ReactNode } from 'react';
import { Link, useLocation } from 'react-router';
import type { Close, MonthEnd, PeriodRow } from '../api/shapes';
import { pathOfCollections } from '../collections/filter';
import { formatCount } from '../format/count';
import { formatDay, formatPeriodShort } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { agree } from './agree';
import { IssueButton, ReviewAllButton, SettleMissingButton, StartCloseButton } from './commands';
import { DownloadAll } from './download-all';
import type { Filter } from './list';
import { MailStatements } from './mail-statements';
import type { PeriodKey } from './period';
import { Progress } from './progress';
import { agreementsQuery, closeQuery, monthEndQuery, openFlagsQuery, refreshMonthEnd } from './queries';
import { currentStep, remaining, type StepName } from './step';
import styles from './month-end.module.css';

interface StepsProps {
  readonly period: PeriodKey;
  readonly row: PeriodRow;
}

/** The month end as the six steps that it is, each with what is still to do there and the way to do it. */
export function Steps({ period, row }: StepsProps) {
  const { api } = useOperator();
  const client = useQueryClient();
  const summary = useQuery(monthEndQuery(api, period));
  const closeId = summary.data?.closeId ?? null;
  const close = useQuery({ ...closeQuery(api, closeId ?? ''), enabled: closeId !== null });
  useFollowing(close.data, period);
  return (
    <section aria-label={words.monthEnd.steps} className="section">
      <Answer question={summary} lines={4}>
        {(monthEnd) => <StepBoard period={period} row={row} monthEnd={monthEnd} close={close.data ?? null} />}
      </Answer>
      {close.data === undefined || summary.data === undefined ? null : <Progress close={close.data} due={due(summary.data)} />}
      {close.isError ? <Answer question={{ ...close, refetch: () => refreshMonthEnd(client) }}>{() => null}</Answer> : null}
    </section>
  );
}

function due({ counts }: MonthEnd): number {
  return counts.agreements - counts.withoutCollections - counts.openCollections;
}

/** The list is long: while work is under way it follows in larger steps than the figures above it. */
const listEveryMs = 5000;

/** Progress has moved on, here or since the list was read: the figures of the steps and the list are read again. */
function useFollowing(close: Close | undefined, period: PeriodKey): void {
  const { api } = useOperator();
  const client = useQueryClient();
  const listReadAt = useRef<number | null>(null);
  const { settled, reviewed, numbered, issued, failed, running } = close?.progress ?? nothingDone;
  useEffect(() => {
    if (close === undefined) return;
    const list = client.getQueryData(agreementsQuery(api, period).queryKey)?.pages.flatMap((page) => page.items) ?? [];
    const now = performance.now();
    const last = listReadAt.current;
    const isListDue = last === null || !running || now - last >= listEveryMs;
    if (isListDue) listReadAt.current = now;
    if (last === null && !running && agree(list, { settled, reviewed, numbered, issued })) return;
    void client.invalidateQueries({
      queryKey: ['month-end'],
      predicate: ({ queryKey: [, part] }) => part === 'summary' || part === 'late-changes' || (part === 'agreements' && isListDue),
    });
    // The figures are what matters, not the object that brought them.
  }, [client, settled, reviewed, numbered, issued, failed, running]);
}

const nothingDone = { settled: 0, reviewed: 0, numbered: 0, issued: 0, failed: 0, running: false, keyMissed: null, stampMissed: null };

interface StepBoardProps extends StepsProps {
  readonly monthEnd: MonthEnd;
  readonly close: Close | null;
}

function StepBoard({ period, row, monthEnd, close }: StepBoardProps) {
  const left = remaining(monthEnd);
  const current = currentStep(monthEnd);
  const running = close?.progress.running === true;
  const name = formatPeriodShort(row, locale);
  const text = words.monthEnd;
  const { counts, closeId } = monthEnd;
  return (
    <ol className={styles.steps}>
      <Step name="collect" current={current} count={left.collect} filter="to-collect" text={text.collect(left.collect)}>
        {left.collect === 0 ? text.collectDone : null}
        {counts.withoutCollections === 0 ? null : <span>{text.without(counts.withoutCollections)}</span>}
        {counts.openCollections === 0 ? null : <ToAccept row={row} count={counts.openCollections} />}
        {counts.openRefundClaims === 0 ? null : <OpenSlips count={counts.openRefundClaims} />}
      </Step>
      <Step name="settle" current={current} count={left.settle} filter="to-settle" text={text.settle(left.settle)}>
        {closeId === null && row.state === 'over' ? <StartCloseButton period={period} name={name} monthEnd={monthEnd} main={current === 'settle'} /> : null}
        {closeId === null && row.state === 'open' ? text.notOver(formatDay(row.endsBefore, locale)) : null}
        {closeId !== null && left.settle > 0 && !running ? <SettleMissingButton closeId={closeId} count={left.settle} main={current === 'settle'} /> : null}
        {closeId !== null && left.settle === 0 ? text.settleDone : null}
      </Step>
      <Step name="review" current={current} count={left.review} filter="draft" text={text.review(left.review)}>
        {closeId !== null && left.review > 0 && !running ? <ReviewAllButton closeId={closeId} count={left.review} name={name} main={current === 'review'} /> : null}
        <OpenFlags row={row} />
        {counts.held > 0 ? <Narrowing filter="held">{text.heldBack(counts.held)}</Narrowing> : null}
      </Step>
      <Step name="issue" current={current} count={left.issue} filter="reviewed" text={text.issue(left.issue)}>
        {closeId !== null && counts.reviewed > 0 && !running ? <IssueButton closeId={closeId} count={counts.reviewed} name={name} main={current === 'issue'} /> : null}
        {counts.numbered > 0 ? text.inPreparation(counts.numbered) : null}
      </Step>
      <Step name="issued" current={current} count={counts.issued} filter="issued" text={text.issued(counts.issued)}>
        {closeId !== null && counts.issued > 0 && counts.numbered === 0 ? <DownloadAll closeId={closeId} name={name} /> : null}
        {closeId !== null && counts.issued > 0 && counts.numbered === 0 ? <MailStatements closeId={closeId} name={name} /> : null}
      </Step>
      <Step name="paid" current={current} count={left.paid} filter="unpaid" text={text.unpaid(left.paid)}>
        {counts.paid > 0 && left.paid === 0 ? text.allPaid : null}
        {counts.partlyPaid > 0 ? <span>{text.partlyPaid(counts.partlyPaid)}</span> : null}
        {counts.disputed > 0 ? <span>{text.disputed(counts.disputed)}</span> : null}
        {counts.toReceive > 0 ? <Narrowing filter="to-receive">{text.toReceive(counts.toReceive)}</Narrowing> : null}
        {counts.issued > 0 ? <ToPayments /> : null}
      </Step>
    </ol>
  );
}

/** Narrows the list below to what it says. */
function Narrowing({ filter, children }: { readonly filter: Filter; readonly children: ReactNode }) {
  const { pathname } = useLocation();
  return <Link to={{ pathname, search: `?show=${filter}`, hash: '#list' }}>{children}</Link>;
}

function ToAccept({ row, count }: { readonly row: PeriodRow; readonly count: number }) {
  const { to } = useOperator();
  return <Link to={to(pathOfCollections({ from: row.startsOn, before: row.endsBefore, state: 'counted' }))}>{words.monthEnd.notAccepted(count)}</Link>;
}

/** Slips that sites entered and nobody has presented: the settlement pays those alone that a collection has. */
function OpenSlips({ count }: { readonly count: number }) {
  const { to } = useOperator();
  return <Link to={to('collections/refunds')}>{words.monthEnd.openSlips(count)}</Link>;
}

/** Flags that keep settlements of the period from review, until somebody explains them. */
function OpenFlags({ row }: { readonly row: PeriodRow }) {
  const { api, may, to } = useOperator();
  const { data } = useQuery({ ...openFlagsQuery(api, row.endsBefore), enabled: may('variance.read') });
  if (data === undefined || data.items.length === 0) return null;
  return <Link to={to('variances/flags')}>{words.monthEnd.openFlags(data.items.length, data.next !== null)}</Link>;
}

function ToPayments() {
  const { may, to } = useOperator();
  return may('payment-run.read') ? <Link to={to('payment-runs')}>{words.monthEnd.toPayments}</Link> : null;
}

interface StepProps {
  readonly name: StepName;
  readonly current: StepName;
  readonly count: number;
  readonly filter: Filter;
  readonly text: string;
  readonly children?: ReactNode;
}

function Step({ name, current, count, filter, text, children }: StepProps) {
  return (
    <li className={styles.step} aria-current={name === current ? 'step' : undefined}>
      <h2 className={styles.stepName}>{words.monthEnd.step[name]}</h2>
      <p className={styles.stepCount}>
        <span className={styles.count}>{formatCount(count, locale)}</span>{' '}
        {count === 0 ? text : <Narrowing filter={filter}>{text}</Narrowing>}
      </p>
      <div className={styles.stepDo}>{children}</div>
    </li>
  );
}
