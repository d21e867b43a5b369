import { Link } from 'react-router';
import type { Settlement } from '../api/shapes';
import { TroubleNotice } from '../parts/trouble';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { inTheWay, untoldBoxes } from './in-the-way';

/** Why a settlement was not taken as reviewed; where flags of its site, uncounted boxes or missing readings are in the way, with the way to them. */
export function ReviewTrouble({ error, settlement }: { readonly error: unknown; readonly settlement: Settlement }) {
  const { may, to } = useOperator();
  const { flagIds = [], machines = [] } = inTheWay(error) ?? {};
  return (
    <>
      <TroubleNotice error={error} />
      {flagIds.length > 0 && may('variance.read') ? <Link to={to(`variances/flags?site=${settlement.siteId}`)}>{words.monthEnd.toFlags}</Link> : null}
      {may('meter.read') && may('collection.create')
        ? machines.map(({ id, tag }) => (
            <Link key={id} to={to(`machines/${id}`)}>
              {words.settlement.toCount(tag)}
            </Link>
          ))
        : null}
      {untoldBoxes(error).map(({ collectionId, machineId, tag }) => (
        <span key={`${collectionId} ${tag}`} className="row">
          <Link to={to(`collections/${collectionId}`)}>{words.untold.sayIt(tag)}</Link>
          {machineId !== undefined && may('meter.read') ? <Link to={to(`machines/${machineId}`)}>{words.untold.enterReading(tag)}</Link> : null}
        </span>
      ))}
    </>
  );
}
