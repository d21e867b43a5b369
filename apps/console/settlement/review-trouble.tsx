import { Link } from 'react-router';
import { codeOf } from '../api/problem';
import type { Settlement } from '../api/shapes';
import { TroubleNotice } from '../parts/trouble';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

/** Why a settlement was not taken as reviewed; where flags of its site are in the way, with the way to them. */
export function ReviewTrouble({ error, settlement }: { readonly error: unknown; readonly settlement: Settlement }) {
  const { may, to } = useOperator();
  return (
    <>
      <TroubleNotice error={error} />
      {codeOf(error) === 'flags-open' && may('variance.read') ? <Link to={to(`variances/flags?site=${settlement.siteId}`)}>{words.monthEnd.toFlags}</Link> : null}
    </>
  );
}
