import { useInfiniteQuery } from '@tanstack/react-query';
import { Link } from 'react-router';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { monthInWords } from '../format/month-in-words';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { More } from '../parts/more';
import { TitledTable } from '../parts/titled-table';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { taxReturnsQuery } from './queries';

/** Everything that was filed for the area, each with the way to its figures as they were filed. */
export function Returns({ areaId }: { readonly areaId: string }) {
  const { api, to } = useOperator();
  const question = useInfiniteQuery(taxReturnsQuery(api, areaId));
  const text = words.tax.returns;
  return (
    <>
      <Answer question={{ ...question, data: question.data?.pages.flatMap((page) => page.items) }} lines={3}>
        {(returns) => (
          <TitledTable
            id="tax-returns" title={text.title} none={text.none} columns={[words.tax.month, text.kind, words.tax.file.filedOn, text.reference, words.tax.figures.tax, text.change]} figures={[words.tax.figures.tax, text.change]}
            rows={returns.map((each) => (
              <tr key={each.id}>
                <th scope="row">
                  <Link to={to(`tax/${areaId}/returns/${each.id}`)}>{text.ofMonth(monthInWords(each.month), each.position)}</Link>
                </th>
                <td>{text.kinds[each.kind]}</td>
                <td>{formatDay(each.filedOn, locale)}</td>
                <td>{each.reference}</td>
                <td className="figure">
                  <Amount money={each.tax} alone />
                </td>
                <td className="figure">{each.kind === 'original' ? null : formatMoney(each.taxChange, locale, 'exceptZero')}</td>
              </tr>
            ))}
          />
        )}
      </Answer>
      <More question={question} />
    </>
  );
}
