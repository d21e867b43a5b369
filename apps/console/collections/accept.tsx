import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { CollectionSummary } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { Confirm } from '../parts/confirm';
import { TroubleNotice } from '../parts/trouble';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';

/** As many as the api takes in one go. */
const most = 200;

function useAccepting(onAccepted: () => void) {
  const { api } = useOperator();
  const client = useQueryClient();
  return useMutation({
    mutationFn: api.acceptCollections,
    onSuccess: onAccepted,
    onSettled: async () => {
      await client.invalidateQueries({ queryKey: ['collections'] });
      await client.invalidateQueries({ queryKey: ['sites'] });
      await client.invalidateQueries({ queryKey: ['month-end'] });
    },
  });
}

/** All of the list that wait, at once, after a question. */
export function AcceptAll({ collections }: { readonly collections: readonly CollectionSummary[] }) {
  const { may } = useOperator();
  const [asked, setAsked] = useState(false);
  const accepting = useAccepting(() => setAsked(false));
  const waiting = collections.filter((each) => each.state === 'counted').slice(0, most);
  if (waiting.length < 2 || !may('collection.accept', 'counted')) return null;
  const text = words.collections.acceptAll;
  return (
    <div>
      <button type="button" className="button button-main" onClick={() => setAsked(true)}>
        {text.action(waiting.length)}
      </button>
      {asked ? (
        <Confirm
          title={text.title(waiting.length)} action={text.action(waiting.length)} busy={accepting.isPending} error={accepting.error}
          onConfirm={() => accepting.mutate(waiting.map((each) => each.id))}
          onClose={() => {
            accepting.reset();
            setAsked(false);
          }}
        >
          <p>{text.what}</p>
        </Confirm>
      ) : null}
    </div>
  );
}

interface AcceptOneProps {
  readonly collection: Pick<CollectionSummary, 'id' | 'state' | 'siteName' | 'localDate'>;
  /** It is what comes next on a page of its own, not one of a list. */
  readonly alone?: boolean;
}

export function AcceptOne({ collection, alone = false }: AcceptOneProps) {
  const { may } = useOperator();
  const accepting = useAccepting(() => undefined);
  if (collection.state !== 'counted' || !may('collection.accept', 'counted')) return null;
  return (
    <>
      <button type="button" className={alone ? 'button button-main' : 'button-plain'} aria-disabled={accepting.isPending} onClick={() => accepting.mutate([collection.id])}>
        {accepting.isPending ? words.working : words.collections.accept}
        <span className="visually-hidden">{` ${collection.siteName}, ${formatDay(collection.localDate, locale)}`}</span>
      </button>
      {accepting.isError ? <TroubleNotice error={accepting.error} /> : null}
    </>
  );
}
