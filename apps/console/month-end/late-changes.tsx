import { useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { Link } from 'react-router';
import type { AgreementRow, LateChange, PeriodRow } from '../api/shapes';
import { formatInstant, formatPeriodAlone, formatPeriodShort } from '../format/day';
import { locale } from '../format/locale';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import type { PeriodKey } from './period';
import { agreementsQuery, lateChangesQuery } from './queries';

interface LateChangesProps {
  readonly period: PeriodKey;
  readonly row: PeriodRow;
  /** The one before, which settles what it can before this one does. */
  readonly before: PeriodRow | null;
}

/**
 * What changed in periods that were issued already: earlier ones, which this one will settle by difference as far as it is
 * not issued itself, and this one, which the next will. Nothing is shown when there is none.
 */
export function LateChanges({ period, row, before }: LateChangesProps) {
  const { api } = useOperator();
  const changes = useQuery(lateChangesQuery(api)).data ?? [];
  const list = useInfiniteQuery(agreementsQuery(api, period)).data?.pages.flatMap((page) => page.items) ?? [];
  const periodBefore: PeriodKey = before === null ? period : { cycle: before.cycle, startsOn: before.startsOn };
  const beforeQuestion = useInfiniteQuery({ ...agreementsQuery(api, periodBefore), enabled: before !== null });
  const listBefore = before === null ? [] : beforeQuestion.data?.pages.flatMap((page) => page.items);
  const open = agreementsToSettle(list);
  const openBefore = agreementsToSettle(listBefore ?? []);
  const comesBefore = ({ startsOn, agreementId }: LateChange) => before !== null && startsOn < before.startsOn && openBefore.has(agreementId);
  // Nothing is said while it is not known which of the two periods takes a change.
  const settledHere = listBefore === undefined ? [] : changes.filter((change) => change.startsOn < row.startsOn && open.has(change.agreementId) && !comesBefore(change));
  const ofThis = changes.filter(({ startsOn, agreementId }) => startsOn === row.startsOn && list.some((each) => each.agreementId === agreementId));
  const name = formatPeriodShort(row, locale);
  return (
    <>
      {settledHere.length === 0 ? null : <Changes title={words.monthEnd.lateChanges(settledHere.length, name)} changes={settledHere} />}
      {ofThis.length === 0 ? null : <Changes title={words.monthEnd.changedSince(ofThis.length, name)} changes={ofThis} />}
    </>
  );
}

function agreementsToSettle(rows: readonly AgreementRow[]): ReadonlySet<string> {
  return new Set(rows.filter(({ state }) => state !== 'numbered' && state !== 'issued').map(({ agreementId }) => agreementId));
}

function Changes({ title, changes }: { readonly title: string; readonly changes: readonly LateChange[] }) {
  const { to } = useOperator();
  return (
    <details className="notice">
      <summary>{title}</summary>
      <Wide title={title}>
        <table>
          <caption className="visually-hidden">{title}</caption>
          <thead>
            <tr>
              <th scope="col">{words.site}</th>
              <th scope="col">{words.period}</th>
              <th scope="col">{words.monthEnd.whatChanged}</th>
              <th scope="col">{words.recorded}</th>
            </tr>
          </thead>
          <tbody>
            {changes.map((each) => (
              <tr key={each.id}>
                <th scope="row">
                  <Link to={to(`sites/${each.siteId}`)}>{each.siteName}</Link>
                </th>
                <td>{formatPeriodAlone(each, locale)}</td>
                <td>{each.cause === 'collection' ? <Link to={to(`collections/${each.sourceId}`)}>{words.monthEnd.cause(each.cause)}</Link> : words.monthEnd.cause(each.cause)}</td>
                <td>{formatInstant(each.recordedAt, locale)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </details>
  );
}
