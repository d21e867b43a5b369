import { useEffect, useRef } from 'react';
import type { WhatIfAnswer } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney, isNegative, isZero, negated } from '../format/money';
import { Answer, type Question } from '../parts/answer';
import { words } from '../words/words';
import type { Asked } from './asked';
import { DifferenceChart } from './difference-chart';
import { seriesOf, type Series } from './series';
import { BySite, NotComputed, Parties, Periods } from './what-if-tables';
import styles from './what-if.module.css';

const text = words.whatIf;

interface WhatIfResultProps {
  readonly question: Question<WhatIfAnswer>;
  readonly asked: Asked;
}

/** What each party would have had: in a sentence, by party, by month as a picture and as figures, and by site. */
export function WhatIfResult({ question, asked }: WhatIfResultProps) {
  return (
    <section className="section" aria-labelledby="result" aria-live="polite">
      <Answer question={question} lines={8}>
        {(answer) => <Result answer={answer} oneSite={asked.siteId !== null} />}
      </Answer>
    </section>
  );
}

function Result({ answer, oneSite }: { readonly answer: WhatIfAnswer; readonly oneSite: boolean }) {
  const heading = useRef<HTMLHeadingElement>(null);
  // The answer lies below a long form: whoever asked is brought to it.
  useEffect(() => heading.current?.focus(), [answer]);
  const { startsOn, endsBefore, agreements, periods } = answer;
  const all = seriesOf(answer.parties, { byParty: oneSite });
  const currencies = [...new Set(all.map(({ currency }) => currency))];
  return (
    <>
      <h2 id="result" ref={heading} tabIndex={-1}>
        {text.result}
      </h2>
      <p className="soft">{text.scope({ from: formatDay(startsOn, locale), until: formatDay(dayBefore(endsBefore), locale), agreements, periods })}</p>
      <NotComputed answer={answer} />
      {currencies.map((currency) => (
        <OneCurrency key={currency} answer={answer} series={all.filter((each) => each.currency === currency)} currency={currency} oneSite={oneSite} />
      ))}
    </>
  );
}

interface OneCurrencyProps {
  readonly answer: WhatIfAnswer;
  readonly series: readonly Series[];
  readonly currency: string;
  readonly oneSite: boolean;
}

function OneCurrency({ answer, series, currency, oneSite }: OneCurrencyProps) {
  const shown = series.filter(({ role, total }) => role !== 'other' || !isZero(total.before) || !isZero(total.after));
  const carried = answer.totals.find((each) => each.currency === currency)?.carried.difference;
  return (
    <div className="section">
      <ul className={styles.said}>
        {shown.map((each) => (
          <li key={each.key}>{said(each)}</li>
        ))}
        {/* A loss is written below zero: more of it carried makes the figure smaller. */}
        {carried === undefined || isZero(carried) ? null : (
          <li>{isNegative(carried) ? text.carried(formatMoney(negated(carried), locale)) : text.carriedLess(formatMoney(carried, locale))}</li>
        )}
      </ul>
      <Parties series={shown} nameOf={nameOf} currency={currency} />
      <div className={styles.charts}>
        {shown.map((each) => (
          <DifferenceChart key={each.key} series={each} name={nameOf(each)} />
        ))}
      </div>
      <Periods series={shown} nameOf={nameOf} currency={currency} byMonth={!oneSite} />
      {oneSite ? null : <BySite answer={answer} currency={currency} />}
    </div>
  );
}

function nameOf({ name, role }: Series): string {
  if (name !== null) return name;
  return role === 'site' ? text.sites : text.others;
}

function said(series: Series): string {
  const { difference } = series.total;
  const name = nameOf(series);
  if (isZero(difference)) return text.same(name);
  return isNegative(difference) ? text.less(name, formatMoney(negated(difference), locale)) : text.more(name, formatMoney(difference, locale));
}

function dayBefore(day: string): string {
  return new Date(Date.parse(`${day}T00:00:00Z`) - 86_400_000).toISOString().slice(0, 10);
}
