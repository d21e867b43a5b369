import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { Settlement } from '../api/shapes';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import { StatementLink } from '../parts/statement-link';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { openNote } from './open-note';
import { settlementQuery } from './queries';
import { LetPass, NoteButton } from './notes';
import { ReverseButton } from './reversal';
import { ReviewTrouble } from './review-trouble';

type Command = { readonly name: 'review' | 'recompute' } | { readonly name: 'reopen'; readonly note: string };

/** What can be done with the settlement in its state, by whom the role allows it. */
export function Commands({ settlement }: { readonly settlement: Settlement }) {
  const { api, may } = useOperator();
  const client = useQueryClient();
  const [reopening, setReopening] = useState(false);
  const { id, state, siteName, reversed } = settlement;
  const carryOut = (command: Command, key: string) => {
    if (command.name === 'reopen') return api.reopen(id, command.note, key);
    return command.name === 'review' ? api.review(settlement, key) : api.recompute(id, key);
  };
  const running = useMutation({
    mutationFn: carryOut,
    onSuccess: () => setReopening(false),
    onSettled: async () => {
      await client.invalidateQueries({ queryKey: settlementQuery(api, id).queryKey });
      await client.invalidateQueries({ queryKey: ['month-end'] });
    },
  });
  const text = words.settlement;
  const button = (name: 'review' | 'recompute', main: boolean) => (
    <button type="button" className={main ? 'button button-main' : 'button'} aria-disabled={running.isPending} onClick={() => running.mutate({ name })}>
      {running.isPending && running.variables.name === name ? words.working : text[name]}
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
      {may('settlement.question', state) && settlement.reversed === null && openNote(settlement, 'question') === null ? <NoteButton settlement={settlement} kind="question" /> : null}
      {state === 'numbered' ? <span className="soft">{words.statement.inPreparation}</span> : null}
      {may('settlement.reverse', state) && reversed === null ? <ReverseButton settlement={settlement} /> : null}
      {state === 'issued' ? <StatementLink settlementId={id} about={siteName} main /> : null}
      {running.isError && !reopening ? <ReviewTrouble error={running.error} settlement={settlement} /> : null}
      {running.isError && running.variables.name === 'review' ? <LetPass settlement={settlement} error={running.error} onPassed={() => running.reset()} /> : null}
      {reopening ? (
        <ConfirmWithReason
          title={text.reopenTitle} what={text.reopenWhat} action={text.reopen} busy={running.isPending} error={running.error}
          onConfirm={(note) => running.mutate({ name: 'reopen', note })}
          onClose={() => {
            running.reset();
            setReopening(false);
          }}
        />
      ) : null}
    </>
  );
}
