import { useQuery } from '@tanstack/react-query';
import { Link } from 'react-router';
import type { ImportFile, ImportWarning } from '../api/shapes';
import { formatCount } from '../format/count';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { importWarningsQuery } from './queries';

const text = words.imports.warnings;

/** Refunds of a file of which nobody can tell which of the open slips they are, before it enters the books and after. Nothing where there are none. */
export function RefundWarnings({ file: { id, kind } }: { readonly file: ImportFile }) {
  const { api } = useOperator();
  const question = useQuery({ ...importWarningsQuery(api, id), enabled: kind === 'collections' });
  if (kind !== 'collections') return null;
  return (
    <Answer question={question} lines={1}>
      {({ items }) => (items.length === 0 ? null : <Found warnings={items} />)}
    </Answer>
  );
}

function Found({ warnings }: { readonly warnings: readonly ImportWarning[] }) {
  const { to } = useOperator();
  const isIn = warnings.some(({ collectionId }) => collectionId !== null);
  return (
    <section className="notice stack" aria-labelledby="warnings">
      <h2 id="warnings">{text.title}</h2>
      <p>{`${text.lead} ${isIn ? text.adviceIn : text.advice}`}</p>
      <Wide title={text.title}>
        <table>
          <caption className="visually-hidden">{text.title}</caption>
          <thead>
            <tr>
              <th scope="col" className={isIn ? undefined : 'figure'}>{isIn ? text.visit : words.imports.line}</th>
              <th scope="col">{words.site}</th>
              <th scope="col">{words.machine}</th>
              <th scope="col" className="figure">{text.refund}</th>
              <th scope="col">{text.open}</th>
            </tr>
          </thead>
          <tbody>
            {warnings.map((each, index) => (
              <tr key={index}>
                {each.collectionId === null ? (
                  <td className="figure">{each.lineNumber === null ? null : formatCount(each.lineNumber, locale)}</td>
                ) : (
                  <td>
                    <Link to={to(`collections/${each.collectionId}`)}>{formatDay(each.collectedOn, locale)}</Link>
                  </td>
                )}
                <td>{each.siteCode}</td>
                <td>{each.machineTag}</td>
                <td className="figure">
                  <Amount money={each.refund} />
                </td>
                <td>{text.openOnes({ slips: each.openClaims, sum: formatMoney(each.openSum, locale) })}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
      <Link to={to('collections/refunds')}>{text.toSlips}</Link>
    </section>
  );
}
