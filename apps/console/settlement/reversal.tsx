import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-router';
import { codeOf } from '../api/problem';
import type { Settlement } from '../api/shapes';
import { formatDay, formatPeriodAlone, dayOf } from '../format/day';
import { locale } from '../format/locale';
import { pathOfPeriod } from '../month-end/period';
import { periodsQuery } from '../month-end/queries';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { settlementQuery } from './queries';

/** Says that the settlement stands no more, and why, with the way to where its period is settled anew; nothing while it stands. */
export function ReversedNotice({ settlement }: { readonly settlement: Settlement }) {
  const { reversed } = settlement;
  if (reversed === null) return null;
  const day = formatDay(dayOf(new Date(reversed.at)), locale);
  return (
    <div className="notice">
      <strong>{reversed.reason === null ? words.settlement.reversedOn(day) : words.settlement.reversedBecause(day, reversed.reason)}</strong>
      <p>{words.settlement.reversedMeans}</p>
      <ToMonthEnd settlement={settlement} />
    </div>
  );
}

function ToMonthEnd({ settlement }: { readonly settlement: Settlement }) {
  const { api, may, to } = useOperator();
  const periods = useQuery({ ...periodsQuery(api), enabled: may('close.read') }).data?.items ?? [];
  // Where a month and four weeks are the same days nobody can say here which of them was settled.
  const [own, other] = periods.filter(({ startsOn, endsBefore }) => startsOn === settlement.startsOn && endsBefore === settlement.endsBefore);
  return own === undefined || other !== undefined ? null : <Link to={to(pathOfPeriod(own))}>{words.settlement.settleAnew(formatPeriodAlone(own, locale))}</Link>;
}

/** Where what stands in the way of a reversal is taken off: payments and what was written off at the account of the site, runs at the runs, a later settlement on the page of the site. */
function WayOn({ error, settlement: { siteId, siteName } }: { readonly error: unknown; readonly settlement: Settlement }) {
  const { may, to } = useOperator();
  const code = codeOf(error);
  if (code === 'settlement-paid' && may('site-account.read')) return <Link to={to(`sites/${siteId}/account`)}>{words.settlement.toAccount}</Link>;
  if (code === 'later-settlement-stands') return <Link to={to(`sites/${siteId}`)}>{words.settlement.site(siteName)}</Link>;
  return code === 'settlement-in-payment-run' && may('payment-run.read') ? <Link to={to('payment-runs')}>{words.settlement.toRuns}</Link> : null;
}

/** Takes the settlement back, with a reason. Asks first: it is final. */
export function ReverseButton({ settlement }: { readonly settlement: Settlement }) {
  const { id } = settlement;
  const { api } = useOperator();
  const client = useQueryClient();
  const [asked, setAsked] = useState(false);
  const text = words.settlement;
  const running = useMutation({
    mutationFn: (reason: string, key) => api.reverse(id, reason, key),
    onSuccess: () => setAsked(false),
    onSettled: async () => {
      await client.invalidateQueries({ queryKey: settlementQuery(api, id).queryKey });
      await client.invalidateQueries({ queryKey: ['month-end'] });
    },
  });
  return (
    <>
      <button type="button" className="button" onClick={() => setAsked(true)}>
        {text.reverse}
      </button>
      {asked ? (
        <ConfirmWithReason
          title={text.reverseTitle} what={text.reverseWhat} action={text.reverse} busy={running.isPending} error={running.error} beside={<WayOn error={running.error} settlement={settlement} />}
          onConfirm={(reason) => running.mutate(reason)}
          onClose={() => {
            running.reset();
            setAsked(false);
          }}
        />
      ) : null}
    </>
  );
}
