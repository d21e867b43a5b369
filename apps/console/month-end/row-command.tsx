import { useMutation, useQueryClient } from '@tanstack/react-query';
import type { AgreementRow } from '../api/shapes';
import { codeOf } from '../api/problem';
import { StatementLink } from '../parts/statement-link';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { refreshMonthEnd } from './queries';

/** What can be done with one row in its state: review a draft, open an issued statement. */
export function RowCommand({ row }: { readonly row: AgreementRow }) {
  const { settlementId, state, siteName } = row;
  if (settlementId === null) return null;
  if (state === 'draft') return <ReviewOne settlementId={settlementId} siteName={siteName} />;
  if (state === 'issued') return <StatementLink settlementId={settlementId} about={siteName} />;
  return null;
}

function ReviewOne({ settlementId, siteName }: { readonly settlementId: string; readonly siteName: string }) {
  const { api, may } = useOperator();
  const client = useQueryClient();
  const reviewing = useMutation({ mutationFn: () => api.review(settlementId), onSettled: () => refreshMonthEnd(client) });
  if (!may('settlement.review', 'draft')) return null;
  return (
    <>
      <button type="button" className="button-plain" aria-disabled={reviewing.isPending} onClick={() => reviewing.mutate()}>
        {reviewing.isPending ? words.working : words.settlement.review}
        <span className="visually-hidden">{` ${siteName}`}</span>
      </button>
      {reviewing.isError ? (
        <div role="alert" className="field-error small">
          {words.monthEnd.reviewRefused(codeOf(reviewing.error))}
        </div>
      ) : null}
    </>
  );
}
