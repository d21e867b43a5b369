import type { Ref } from 'react';
import type { Question } from './answer';
import { TroubleNotice } from './trouble';

/** A question without whose answer a form cannot say what is typed into it: the currency, the readings before. One that is not asked is no need. */
export type Need = Question<unknown> & { readonly isLoading: boolean };

/** What stands in the way of sending: on its way, or not to be had. */
export function standing(needs: readonly Need[]): 'loading' | 'failed' | null {
  const missing = needs.filter(({ data }) => data === undefined);
  if (missing.some(({ isError }) => isError)) return 'failed';
  return missing.some(({ isLoading }) => isLoading) ? 'loading' : null;
}

/** Leads whoever sends the form all the same to what it could not be told, which may be out of sight. */
export function leadTo(place: HTMLElement | null): void {
  place?.focus();
  place?.scrollIntoView({ block: 'nearest' });
}

/** Says what a form could not be told, and asks once more where somebody wants to. */
export function Needs({ needs, ref }: { readonly needs: readonly Need[]; readonly ref: Ref<HTMLDivElement> }) {
  const failed = needs.filter(({ data, isError }) => data === undefined && isError);
  const [first] = failed;
  if (first === undefined) return null;
  return (
    <div ref={ref} tabIndex={-1}>
      <TroubleNotice error={first.error} onRetry={() => failed.forEach(({ refetch }) => void refetch())} />
    </div>
  );
}
