import { useQueryClient } from '@tanstack/react-query';
import { useState, type ReactNode } from 'react';
import type { Action } from '#domain/permissions/table';
import type { MonthEnd } from '../api/shapes';
import { Confirm } from '../parts/confirm';
import { TroubleNotice } from '../parts/trouble';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import type { PeriodKey } from './period';
import { refreshMonthEnd } from './queries';

interface CommandButtonProps {
  readonly permission: Action;
  readonly text: string;
  readonly title: string;
  /** It is what comes next. */
  readonly main: boolean;
  readonly run: (key: string) => Promise<unknown>;
  /** What the question says: what will happen, and what can not be undone. */
  readonly children: ReactNode;
}

/** A button that asks first, for whom the role allows it. */
export function CommandButton({ permission, text, title, main, run, children }: CommandButtonProps) {
  const { may } = useOperator();
  const client = useQueryClient();
  const [asked, setAsked] = useState(false);
  const running = useMutation({
    mutationFn: (_asked: void, key) => run(key),
    onSuccess: async () => {
      setAsked(false);
      await refreshMonthEnd(client);
    },
  });
  if (!may(permission)) return null;
  return (
    <>
      <button type="button" className={main ? 'button button-main' : 'button'} onClick={() => setAsked(true)}>
        {text}
      </button>
      {asked ? (
        <Confirm
          title={title} action={text} busy={running.isPending} error={running.error}
          onConfirm={() => running.mutate()}
          onClose={() => {
            running.reset();
            setAsked(false);
          }}
        >
          {children}
        </Confirm>
      ) : null}
    </>
  );
}

/** Nothing is asked first: what was ordered already is only tried sooner. */
export function TryAgainButton({ closeId }: { readonly closeId: string }) {
  const { api, may } = useOperator();
  const client = useQueryClient();
  const trying = useMutation({ mutationFn: (_asked: void, key) => api.issueReviewed(closeId, key), onSettled: () => refreshMonthEnd(client) });
  if (!may('settlement.issue')) return null;
  return (
    <>
      <button type="button" className="button" aria-disabled={trying.isPending} onClick={() => (trying.isPending ? undefined : trying.mutate())}>
        {trying.isPending ? words.working : words.monthEnd.keyMissed.again}
      </button>
      {trying.isError ? <TroubleNotice error={trying.error} /> : null}
    </>
  );
}

interface StartCloseProps {
  readonly period: PeriodKey;
  readonly name: string;
  readonly monthEnd: MonthEnd;
  readonly main: boolean;
}

export function StartCloseButton({ period, name, monthEnd, main }: StartCloseProps) {
  const { api } = useOperator();
  const text = words.monthEnd.startClose;
  const { agreements, withoutCollections, openCollections, lateChanges } = monthEnd.counts;
  return (
    <CommandButton permission="close.start" main={main} text={text.action(name)} title={text.title(name)} run={(key) => api.startClose(period, key)}>
      <p>{text.what(agreements - withoutCollections - openCollections)}</p>
      {withoutCollections + openCollections > 0 ? <p>{text.missing(withoutCollections + openCollections)}</p> : null}
      {lateChanges > 0 ? <p>{text.late(lateChanges)}</p> : null}
      <p className="soft">{text.undo}</p>
    </CommandButton>
  );
}

interface CountedProps {
  readonly closeId: string;
  readonly count: number;
  readonly main: boolean;
}

export function SettleMissingButton({ closeId, count, main }: CountedProps) {
  const { api } = useOperator();
  const text = words.monthEnd.settleMissing;
  return (
    <CommandButton permission="close.start" main={main} text={text.action(count)} title={text.title(count)} run={(key) => api.settleMissing(closeId, key)}>
      <p>{text.what}</p>
    </CommandButton>
  );
}

export function ReviewAllButton({ closeId, count, main, name }: CountedProps & { readonly name: string }) {
  const { api } = useOperator();
  const text = words.monthEnd.reviewAll;
  return (
    <CommandButton permission="settlement.review" main={main} text={text.action(count)} title={text.title(count, name)} run={(key) => api.reviewDrafts(closeId, undefined, key)}>
      <p>{text.what}</p>
    </CommandButton>
  );
}

export function IssueButton({ closeId, count, main, name }: CountedProps & { readonly name: string }) {
  const { api } = useOperator();
  const text = words.monthEnd.issueAll;
  return (
    <CommandButton permission="settlement.issue" main={main} text={text.action(count)} title={text.title(count, name)} run={(key) => api.issueReviewed(closeId, key)}>
      <p>{text.what}</p>
      <p>{text.undo}</p>
    </CommandButton>
  );
}
