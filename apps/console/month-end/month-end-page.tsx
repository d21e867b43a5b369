import { useQuery } from '@tanstack/react-query';
import { Link, Navigate, useParams } from 'react-router';
import type { PeriodRow } from '../api/shapes';
import { dayOf, formatPeriodAlone } from '../format/day';
import { locale } from '../format/locale';
import { CertificateNotice } from '../access/certificate-notice';
import { NotFound } from '../frame/not-found';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { AgreementList } from './agreement-list';
import { JournalMonths } from './journal-months';
import { LateChanges } from './late-changes';
import { NoTolerance } from './later';
import { neighbours, pathOfPeriod, periodFrom, periodToBeginWith, type PeriodKey } from './period';
import { PeriodChoice } from './period-choice';
import { periodsQuery } from './queries';
import { Questions } from './questions';
import { Steps } from './steps';
import { WebhookNotice } from './webhook-notice';

/** `month-end`: goes to the period that wants closing. */
export function MonthEndStart() {
  const { api, may, to } = useOperator();
  const question = useQuery({ ...periodsQuery(api), enabled: may('close.read') });
  if (!may('close.read')) return <Denied title={words.monthEnd.title} />;
  const periods = question.data?.items ?? [];
  const first = periodToBeginWith(periods, dayOf(new Date()));
  if (first !== null) return <Navigate to={to(pathOfPeriod(first))} replace />;
  return (
    <Page title={words.monthEnd.title}>
      <Answer question={question}>{() => (
          <Blank title={words.monthEnd.noPeriods}>
            <p>{words.monthEnd.noPeriodsAdvice}</p>
            {may('site.create') ? (
              <Link to={to('set-up')} className="button button-main">
                {words.monthEnd.toSetUp}
              </Link>
            ) : null}
          </Blank>
        )}</Answer>
    </Page>
  );
}

/** `month-end/:cycle/:startsOn`: one period from the first missing collection to the last issued statement. */
export function MonthEndPage() {
  const { api, may } = useOperator();
  const period = periodFrom(useParams());
  const question = useQuery({ ...periodsQuery(api), enabled: may('close.read') });
  if (!may('close.read')) return <Denied title={words.monthEnd.title} />;
  if (period === null) return <NotFound />;
  const periods = question.data?.items ?? [];
  const row = periods.find((each) => each.cycle === period.cycle && each.startsOn === period.startsOn);
  if (question.isSuccess && row === undefined) return <NotFound />;
  return (
    <Page
      title={row === undefined ? words.monthEnd.title : formatPeriodAlone(row, locale)}
      lead={words.monthEnd.lead}
      actions={row === undefined ? null : <PeriodChoice periods={periods} chosen={row} />}
    >
      <Answer question={question} lines={8}>
        {() => (row === undefined ? null : <OnePeriod key={`${period.cycle} ${period.startsOn}`} period={period} row={row} before={neighbours(periods, period).earlier} />)}
      </Answer>
    </Page>
  );
}

function OnePeriod({ period, row, before }: { readonly period: PeriodKey; readonly row: PeriodRow; readonly before: PeriodRow | null }) {
  return (
    <>
      <Steps period={period} row={row} />
      <CertificateNotice />
      <WebhookNotice />
      <NoTolerance />
      <Questions />
      <LateChanges period={period} row={row} before={before} />
      <AgreementList period={period} row={row} />
      <JournalMonths />
    </>
  );
}
