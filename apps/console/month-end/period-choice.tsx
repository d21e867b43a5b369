import { useId } from 'react';
import { Link, useNavigate } from 'react-router';
import type { PeriodRow } from '../api/shapes';
import { formatPeriod, formatPeriodAlone } from '../format/day';
import { locale } from '../format/locale';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { neighbours, pathOfPeriod } from './period';
import styles from './month-end.module.css';

interface PeriodChoiceProps {
  readonly periods: readonly PeriodRow[];
  readonly chosen: PeriodRow;
}

export function PeriodChoice({ periods, chosen }: PeriodChoiceProps) {
  const { to } = useOperator();
  const navigate = useNavigate();
  const selectId = useId();
  const { earlier, later } = neighbours(periods, chosen);
  const cycles = [...new Set(periods.map((each) => each.cycle))];
  return (
    <div className={styles.choice}>
      {earlier === null ? null : (
        <Link className="button" to={to(pathOfPeriod(earlier))} aria-label={words.monthEnd.earlier(formatPeriod(earlier, locale))}>
          <Arrow towards="earlier" />
        </Link>
      )}
      <label htmlFor={selectId} className="visually-hidden">
        {words.monthEnd.choosePeriod}
      </label>
      <select id={selectId} value={pathOfPeriod(chosen)} onChange={(event) => void navigate(to(event.currentTarget.value))}>
        {cycles.map((cycle) => (
          <optgroup key={cycle} label={words.monthEnd.cycle[cycle]}>
            {periods
              .filter((each) => each.cycle === cycle)
              .map((each) => (
                <option key={each.startsOn} value={pathOfPeriod(each)}>
                  {formatPeriodAlone(each, locale)}
                </option>
              ))}
          </optgroup>
        ))}
      </select>
      {later === null ? null : (
        <Link className="button" to={to(pathOfPeriod(later))} aria-label={words.monthEnd.later(formatPeriod(later, locale))}>
          <Arrow towards="later" />
        </Link>
      )}
    </div>
  );
}

function Arrow({ towards }: { readonly towards: 'earlier' | 'later' }) {
  return (
    <svg className={styles.arrow} viewBox="0 0 16 16" aria-hidden="true" focusable="false">
      <path d={towards === 'earlier' ? 'M10 3 5 8l5 5' : 'M6 3l5 5-5 5'} fill="none" stroke="currentColor" strokeWidth="2" />
    </svg>
  );
}
