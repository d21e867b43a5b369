import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { Settlement } from '../api/shapes';
import { Confirm } from '../parts/confirm';
import { StatementLink } from '../parts/statement-link';
import { TroubleNotice } from '../parts/trouble';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { settlementQuery } from './queries';
import { ReverseButton } from './reversal';

type CommandName = 'review' | 'reopen' | 'recompute';

/** What can be done with the settlement in its state, by whom the role allows it. */
export function Commands({ settlement }: { readonly settlement: Settlement }) {
  const { api, may } = useOperator();
  const client = useQueryClient();
  const [reopening, setReopening] = useState(false);
  const [note, setNote] = useState('');
  const { id, state, siteName, reversed } = settlement;
  const commandsOf = { review: () => api.review(settlement), reopen: () => api.reopen(id, note), recompute: () => api.recompute(id) };
  const running = useMutation({
    mutationFn: (name: CommandName) => commandsOf[name](),
    onSuccess: () => setReopening(false),
    onSettled: async () => {
      await client.invalidateQueries({ queryKey: settlementQuery(api, id).queryKey });
      await client.invalidateQueries({ queryKey: ['month-end'] });
    },
  });
  const text = words.settlement;
  const button = (name: CommandName, main: boolean) => (
    <button type="button" className={main ? 'button button-main' : 'button'} aria-disabled={running.isPending} onClick={() => running.mutate(name)}>
      {running.isPending && running.variables === name ? words.working : text[name]}
    </button>
  );
  return (
    <>
      {may('settlement.review', state) ? button('review', true) : null}
      {may('settlement.recompute', state) ? button('recompute', false) : null}
      {may('settlement.reopen', state) ? (
        <button type="button" className="button" onClick={() => setReopening(true)}>
          {text.reopen}
        </button>
      ) : null}
      {state === 'numbered' ? <span className="soft">{words.statement.inPreparation}</span> : null}
      {may('settlement.reverse', state) && reversed === null ? <ReverseButton settlement={settlement} /> : null}
      {state === 'issued' ? <StatementLink settlementId={id} about={siteName} main /> : null}
      {running.isError && !reopening ? <TroubleNotice error={running.error} /> : null}
      {reopening ? (
        <Confirm
          title={text.reopenTitle} action={text.reopen} busy={running.isPending} error={running.error}
          onConfirm={() => running.mutate('reopen')}
          onClose={() => {
            running.reset();
            setReopening(false);
          }}
        >
          <p>{text.reopenWhat}</p>
          <div className="field">
            <label htmlFor="reopen-note">{text.note}</label>
            <textarea id="reopen-note" rows={3} required minLength={3} maxLength={1000} value={note} onChange={(event) => setNote(event.currentTarget.value)} />
          </div>
        </Confirm>
      ) : null}
    </>
  );
}
