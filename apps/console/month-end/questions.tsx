import { useQuery } from '@tanstack/react-query';
import { Link } from 'react-router';
import { formatPeriodAlone } from '../format/day';
import { locale } from '../format/locale';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { questionsQuery } from '../settlement/queries';
import { words } from '../words/words';

/** What sites have asked about settlements of any period, until it is answered. Nothing is shown when there is none. */
export function Questions() {
  const { api, to } = useOperator();
  const questions = useQuery(questionsQuery(api)).data ?? [];
  if (questions.length === 0) return null;
  const title = words.monthEnd.questions(questions.length);
  return (
    <details className="notice" open>
      <summary>{title}</summary>
      <Wide title={title}>
        <table>
          <caption className="visually-hidden">{title}</caption>
          <thead>
            <tr>
              <th scope="col">{words.site}</th>
              <th scope="col">{words.period}</th>
              <th scope="col">{words.monthEnd.question}</th>
            </tr>
          </thead>
          <tbody>
            {questions.map((each) => (
              <tr key={each.id}>
                <th scope="row">
                  <Link to={to(`settlements/${each.id}`)}>{each.siteName}</Link>
                </th>
                <td>{formatPeriodAlone(each, locale)}</td>
                <td>{each.question}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </details>
  );
}
