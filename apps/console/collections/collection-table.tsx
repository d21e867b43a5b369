import { Link } from 'react-router';
import type { CollectionSummary } from '../api/shapes';
import { formatCount } from '../format/count';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { isZero } from '../format/money';
import { Amount } from '../parts/amount';
import { CollectionStateMark } from '../parts/state-mark';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { AcceptOne } from './accept';
import styles from './collections.module.css';

interface CollectionTableProps {
  readonly collections: readonly CollectionSummary[];
  readonly caption: string;
  /** Where the sites differ. */
  readonly withSite?: boolean;
}

export function CollectionTable({ collections, caption, withSite = false }: CollectionTableProps) {
  const text = words.collections;
  return (
    <Wide title={caption}>
      <table>
        <caption className="visually-hidden">{caption}</caption>
        <thead>
          <tr>
            <th scope="col">{text.day}</th>
            {withSite ? <th scope="col">{words.site}</th> : null}
            <th scope="col">{words.state}</th>
            <th scope="col" className={`figure ${styles.wide}`}>
              {text.machines}
            </th>
            <th scope="col" className="figure">
              {text.counted}
            </th>
            <th scope="col" className={`figure ${styles.wide}`}>
              {text.refunds}
            </th>
            <th scope="col" className={`figure ${styles.wide}`}>
              {text.handed}
            </th>
            <td>
              <span className="visually-hidden">{text.todo}</span>
            </td>
          </tr>
        </thead>
        <tbody>
          {collections.map((each) => (
            <OneCollection key={each.id} collection={each} withSite={withSite} />
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

function OneCollection({ collection, withSite }: { readonly collection: CollectionSummary; readonly withSite: boolean }) {
  const { may, to } = useOperator();
  const text = words.collections;
  const { id, localDate, accountingDate, siteId, siteName, siteCode, state, countedMachines, counted, refunds, handed } = collection;
  return (
    <tr>
      <th scope="row">
        <Link to={to(`collections/${id}`)}>{formatDay(localDate, locale)}</Link>
        {accountingDate === localDate ? null : <div className="soft small">{words.collections.bookedTo(formatDay(accountingDate, locale))}</div>}
      </th>
      {withSite ? (
        <td>
          <Link to={to(`sites/${siteId}`)}>{siteName}</Link> <span className="code small">{siteCode}</span>
        </td>
      ) : null}
      <td className={styles.state}>
        <CollectionStateMark state={state} />
      </td>
      <td className={`figure ${styles.wide}`}>{state === 'open' ? null : formatCount(countedMachines, locale)}</td>
      <td className="figure">{state === 'open' ? null : <Amount money={counted} alone />}</td>
      <td className={`figure ${styles.wide}`}>{isZero(refunds) ? null : <Amount money={refunds} alone />}</td>
      <td className={`figure ${styles.wide}`}>{isZero(handed) ? null : <Amount money={handed} alone />}</td>
      <td>
        <AcceptOne collection={collection} />
        {state === 'open' && may('collection.count', state) ? (
          <Link className="button button-small" to={to(`collections/${id}/count`)}>
            {text.count}
            <span className="visually-hidden">{` ${siteName}, ${formatDay(localDate, locale)}`}</span>
          </Link>
        ) : null}
      </td>
    </tr>
  );
}
