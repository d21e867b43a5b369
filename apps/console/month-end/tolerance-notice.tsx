import { useQuery } from '@tanstack/react-query';
import { lazy, Suspense } from 'react';
import { useOperator } from '../session/operator';
import { toleranceQuery } from '../set-up/queries';
import { fetchPageWords } from '../words/words';

/** Few need it: its script and its words come when they do. Where they cannot be fetched the month end goes on without it. */
const NoTolerance = lazy(async () => {
  try {
    await fetchPageWords();
    return { default: (await import('../variances/no-tolerance')).NoTolerance };
  } catch {
    return { default: () => null };
  }
});

/** That differences are not followed up by their size in some currency, to whom the tolerances are shown. */
export function ToleranceNotice() {
  const { api, may } = useOperator();
  const { data } = useQuery({ ...toleranceQuery(api), enabled: may('tolerance-rule-set.read') });
  return data === undefined || data.withoutTolerance.length === 0 ? null : (
    <Suspense fallback={null}>
      <NoTolerance />
    </Suspense>
  );
}
