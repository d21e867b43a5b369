import type { ReactNode } from 'react';
import { Link } from 'react-router';
import type { WhatIfAmounts, WhatIfAnswer } from '../api/shapes';
import { compareMoney, isNegative, isZero, negated } from '../format/money';
import { Amount } from '../parts/amount';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { periodText } from './difference-chart';
import type { Series } from './series';
import styles from './what-if.module.css';

const text = words.whatIf;
const parts = ['shares', 'charges', 'borne'] as const;

interface TableProps {
  readonly series: readonly Series[];
  readonly nameOf: (series: Series) => string;
  readonly currency: string;
}

/** Each party as settled, as proposed, and the difference; below it what that is made of. */
export function Parties({ series, nameOf, currency }: TableProps) {
  return (
    <Across title={text.inCurrency(text.parties, currency)}>
      <thead>
        <tr>
          <th scope="col">{text.party}</th>
          {[text.asSettled, text.asProposed, text.difference].map((each) => (
            <th key={each} scope="col" className="figure">
              {each}
            </th>
          ))}
        </tr>
      </thead>
      {series.map((each) => (
        <tbody key={each.key}>
          <tr>
            <th scope="row">{nameOf(each)}</th>
            <Figures amounts={each.total} />
          </tr>
          {parts.filter((part) => isTold(each.madeOf[part])).map((part) => (
            <tr key={part} className={styles.part}>
              <th scope="row">{text.madeOf[part]}</th>
              <Figures amounts={part === 'borne' ? taken(each.madeOf[part]) : each.madeOf[part]} />
            </tr>
          ))}
        </tbody>
      ))}
    </Across>
  );
}

const isTold = ({ before, after }: WhatIfAmounts): boolean => !isZero(before) || !isZero(after);

/** What a party bears is taken from what it has. */
function taken({ before, after, difference }: WhatIfAmounts): WhatIfAmounts {
  return { before: negated(before), after: negated(after), difference: negated(difference) };
}

function Figures({ amounts: { before, after, difference } }: { readonly amounts: WhatIfAmounts }) {
  return (
    <>
      <td className="figure">
        <Amount money={before} />
      </td>
      <td className="figure">
        <Amount money={after} />
      </td>
      <td className="figure">
        <Amount money={difference} signs="exceptZero" />
      </td>
    </>
  );
}

/** A row for each period, a column for each party. */
export function Periods({ series, nameOf, currency, byMonth }: TableProps & { readonly byMonth: boolean }) {
  const rows = new Map(series.flatMap(({ periods }) => periods).map((period) => [keyOf(period), period]));
  const sorted = [...rows.keys()].sort();
  return (
    <Across title={text.inCurrency(byMonth ? text.byMonth : text.byPeriod, currency)}>
      <thead>
        <tr>
          <th scope="col">{words.period}</th>
          {series.map((each) => (
            <th key={each.key} scope="col" className="figure">
              {nameOf(each)}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {sorted.map((key) => {
          const period = rows.get(key);
          return period === undefined ? null : (
            <tr key={key}>
              <th scope="row">{periodText(period)}</th>
              {series.map((each) => {
                const found = each.periods.find((other) => keyOf(other) === key);
                return (
                  <td key={each.key} className="figure">
                    {found === undefined ? null : <Amount money={found.total.difference} signs="exceptZero" />}
                  </td>
                );
              })}
            </tr>
          );
        })}
      </tbody>
      <tfoot>
        <tr className="end">
          <th scope="row">{text.total}</th>
          {series.map((each) => (
            <td key={each.key} className="figure">
              <Amount money={each.total.difference} signs="exceptZero" />
            </td>
          ))}
        </tr>
      </tfoot>
    </Across>
  );
}

const keyOf = ({ startsOn, endsBefore }: { readonly startsOn: string; readonly endsBefore: string }): string => `${startsOn} ${endsBefore}`;

/** The sites to which it makes the greatest difference first. */
export function BySite({ answer, currency }: { readonly answer: WhatIfAnswer; readonly currency: string }) {
  const { to } = useOperator();
  const sites = answer.sites.filter(({ site }) => site.difference.currency === currency).sort((one, other) => -compareMoney(size(one.site), size(other.site)));
  const hasOthers = sites.some(({ others }) => isTold(others));
  const columns = [...(['operator', 'site'] as const), ...(hasOthers ? (['others'] as const) : [])];
  const heads = { operator: words.terms.operator, site: words.terms.site, others: text.others };
  return (
    <Across title={text.inCurrency(text.bySite, currency)}>
      <thead>
        <tr>
          <th scope="col">{words.site}</th>
          {columns.map((column) => (
            <th key={column} scope="col" className="figure">
              {heads[column]}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {sites.map((site) => (
          <tr key={site.agreementId}>
            <th scope="row">
              <Link to={to(`sites/${site.siteId}`)}>{site.siteName}</Link> <span className="code small">{site.siteCode}</span>
            </th>
            {columns.map((column) => (
              <td key={column} className="figure">
                <Amount money={site[column].difference} signs="exceptZero" />
              </td>
            ))}
          </tr>
        ))}
      </tbody>
    </Across>
  );
}

const size = ({ difference }: WhatIfAmounts) => (isNegative(difference) ? negated(difference) : difference);

/** Agreements that these terms cannot be computed for, with the reasons. */
export function NotComputed({ answer: { notComputed } }: { readonly answer: WhatIfAnswer }) {
  if (notComputed.length === 0) return null;
  return (
    <div className="notice notice-alarm">
      <strong>{text.notComputed(notComputed.length)}</strong>
      <ul>
        {notComputed.map(({ agreementId, siteCode, errors }) => (
          <li key={agreementId}>
            <span className="code">{siteCode}</span> {errors.map(({ message }) => message).join(' ')}
          </li>
        ))}
      </ul>
    </div>
  );
}

function Across({ title, children }: { readonly title: string; readonly children: ReactNode }) {
  return (
    <div className="stack">
      <h3>{title}</h3>
      <Wide title={title}>
        <table>
          <caption className="visually-hidden">{title}</caption>
          {children}
        </table>
      </Wide>
    </div>
  );
}
