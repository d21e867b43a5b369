import { useQueryClient } from '@tanstack/react-query';
import { Link } from 'react-router';
import type { AgreementRow } from '../api/shapes';
import { codeOf } from '../api/problem';
import { StatementLink } from '../parts/statement-link';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { isHeldBack } from './list';
import { refreshMonthEnd } from './queries';

/** What can be done with one row in its state: review a draft, open an issued statement. */
export function RowCommand({ row }: { readonly row: AgreementRow }) {
  const { settlementId, state, siteName, heldBecause } = row;
  if (settlementId === null || isHeldBack(row) || heldBecause !== null) return null;
  if (state === 'draft') return <ReviewOne settlementId={settlementId} row={row} />;
  if (state === 'issued') return <StatementLink settlementId={settlementId} about={siteName} />;
  return null;
}

function ReviewOne({ settlementId, row }: { readonly settlementId: string; readonly row: AgreementRow }) {
  const { api, may, to } = useOperator();
  const client = useQueryClient();
  const reviewing = useMutation({
    mutationFn: async (_asked: void, key) => {
      const draft = await api.settlement(settlementId);
      // What is reviewed is what stood in the list; another figure has to be seen first.
      if (draft.totals.payable.amount !== row.payable?.amount) return 'changed';
      await api.review(draft, key);
      return 'reviewed';
    },
    onSettled: () => refreshMonthEnd(client),
  });
  if (!may('settlement.review', 'draft')) return null;
  const trouble = reviewing.data === 'changed' ? 'changed-meanwhile' : codeOf(reviewing.error);
  return (
    <>
      <button type="button" className="button-plain" aria-disabled={reviewing.isPending} onClick={() => reviewing.mutate()}>
        {reviewing.isPending ? words.working : words.monthEnd.markReviewed}
        <span className="visually-hidden">{` ${row.siteName}`}</span>
      </button>
      {reviewing.isError || reviewing.data === 'changed' ? (
        <div role="alert" className="field-error small">
          {words.monthEnd.reviewRefused(trouble)}{' '}
          <Link to={to(`settlements/${settlementId}`)}>
            {words.monthEnd.toSettlement}
            <span className="visually-hidden">{` ${row.siteName}`}</span>
          </Link>
        </div>
      ) : null}
    </>
  );
}
