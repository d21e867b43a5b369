import { NavLink } from 'react-router';
import type { VarianceFlag } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { isNegative } from '../format/money';
import { Amount } from '../parts/amount';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import styles from './variances.module.css';

/** The ways to look at variances, as far as the role may. */
export function VarianceViews() {
  const { may, to } = useOperator();
  const views = [
    { path: 'variances', text: words.variances.report.view, shown: may('variance-report.read') },
    { path: 'variances/flags', text: words.variances.flags.view, shown: may('variance.read') },
    { path: 'variances/attribution', text: words.variances.attribution.view, shown: may('variance.attribute') },
  ].filter(({ shown }) => shown);
  return (
    <nav aria-label={words.variances.views} className={styles.views}>
      {views.map(({ path, text }) => (
        <NavLink key={path} to={to(path)} end className="button button-small">
          {text}
        </NavLink>
      ))}
    </nav>
  );
}

/** Sites whose figures the reader is not shown, because they count there. */
export function Withheld({ sites }: { readonly sites: number }) {
  return sites === 0 ? null : <p className="notice">{words.variances.withheld(sites)}</p>;
}

type Figure = VarianceFlag['figures'][number];

/** The difference, or that there is none to say; `alone` with its currency. */
export function Variance({ money, alone = false }: { readonly money: Figure['variance']; readonly alone?: boolean }) {
  if (money === null) return <span className="soft">{words.variances.notKnown}</span>;
  return (
    <span className={isNegative(money) ? 'state-alarm' : undefined}>
      <Amount money={money} alone={alone} />
    </span>
  );
}

/** What meters say, or why they do not. */
export function Expected({ figure, alone = false }: { readonly figure: Pick<Figure, 'expected' | 'unknown'>; readonly alone?: boolean }) {
  if (figure.expected !== null) return <Amount money={figure.expected} alone={alone} />;
  return <span className="soft">{figure.unknown.map((why) => words.variances.unknown[why]).join(', ')}</span>;
}

export function reasonsOf(reasons: VarianceFlag['reasons']): string {
  return reasons.map((reason) => words.variances.reason[reason]).join(', ');
}

/** The same where it stands alone, with a capital letter. */
export function reasonsAlone(reasons: VarianceFlag['reasons']): string {
  const said = reasonsOf(reasons);
  return `${said.charAt(0).toLocaleUpperCase(locale)}${said.slice(1)}`;
}

/** A day in a row: the first cell that names it. */
export function Day({ day }: { readonly day: string }) {
  return (
    <time className={styles.whole} dateTime={day}>
      {formatDay(day, locale)}
    </time>
  );
}
