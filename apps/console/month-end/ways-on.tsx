import { Link } from 'react-router';
import type { Close } from '../api/shapes';
import { pathOfCollections } from '../collections/filter';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

interface WaysOnProps {
  readonly failure: Pick<Close['failures'][number], 'code' | 'machines' | 'siteId' | 'settlementId'>;
  /** Whose links they are, for who does not see the row. */
  readonly about: string;
}

/** The way from what could not be done to each thing that stands in its way; to the settlement, which says what it is, where no screen is known. */
export function WaysOn({ failure: { code, machines, siteId, settlementId }, about }: WaysOnProps) {
  const { to, may } = useOperator();
  const text = words.monthEnd;
  const ways = [
    ...(code === 'flags-open' && may('variance.read') ? [{ path: `variances/flags?site=${siteId}`, says: text.toFlags }] : []),
    ...(may('meter.read') ? machines.map(({ id, tag }) => ({ path: `machines/${id}`, says: text.toMachine(tag) })) : []),
    ...(code === 'collections-not-accepted' ? [{ path: pathOfCollections({ siteId, state: 'counted' }), says: text.toCollections }] : []),
  ];
  const shown = ways.length === 0 && settlementId !== null ? [{ path: `settlements/${settlementId}`, says: text.toSettlement }] : ways;
  return shown.map(({ path, says }) => (
    <span key={path}>
      {' '}
      <Link to={to(path)}>
        {says}
        <span className="visually-hidden">{` ${about}`}</span>
      </Link>
    </span>
  ));
}
