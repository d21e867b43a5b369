import { useQuery } from '@tanstack/react-query';
import type { PeriodRow } from '../api/shapes';
import { formatInstant, formatPeriod, formatPeriodShort } from '../format/day';
import { locale } from '../format/locale';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { lateChangesQuery } from './queries';

/** What changed in periods that were issued already, and will be settled by difference. Nothing shown when there is none. */
export function LateChanges({ row }: { readonly row: PeriodRow }) {
  const { api } = useOperator();
  const question = useQuery(lateChangesQuery(api));
  const changes = question.data?.items ?? [];
  if (changes.length === 0) return null;
  return (
    <details className="notice">
      <summary>{words.monthEnd.lateChanges(changes.length, formatPeriodShort(row, locale))}</summary>
      <table>
        <caption className="visually-hidden">{words.monthEnd.lateChangesCaption}</caption>
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
              <th scope="row">{each.siteName}</th>
              <td>{formatPeriod(each, locale)}</td>
              <td>{words.monthEnd.cause(each.cause)}</td>
              <td>{formatInstant(each.recordedAt, locale)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </details>
  );
}
