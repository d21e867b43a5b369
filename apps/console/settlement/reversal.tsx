import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { Settlement } from '../api/shapes';
import { formatDay, dayOf } from '../format/day';
import { locale } from '../format/locale';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { settlementQuery } from './queries';

/** Says that the settlement stands no more, and why; nothing while it stands. */
export function ReversedNotice({ settlement: { reversed } }: { readonly settlement: Settlement }) {
  if (reversed === null) return null;
  const day = formatDay(dayOf(new Date(reversed.at)), locale);
  return (
    <div className="notice">
      <strong>{reversed.reason === null ? words.settlement.reversedOn(day) : words.settlement.reversedBecause(day, reversed.reason)}</strong>
      <p>{words.settlement.reversedMeans}</p>
    </div>
  );
}

/** Takes the settlement back, with a reason. Asks first: it is final. */
export function ReverseButton({ settlement: { id } }: { readonly settlement: Settlement }) {
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
          title={text.reverseTitle} what={text.reverseWhat} action={text.reverse} busy={running.isPending} error={running.error}
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
