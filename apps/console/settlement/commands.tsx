import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { Settlement } from '../api/shapes';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import { StatementLink } from '../parts/statement-link';
import { TroubleNotice } from '../parts/trouble';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { openNote } from './open-note';
import { settlementQuery } from './queries';
import { NoteButton } from './notes';
import { ReverseButton } from './reversal';

type Command = { readonly name: 'recompute' } | { readonly name: 'reopen'; readonly note: string };

/** What can be done with the settlement in its state, by whom the role allows it. A draft is reviewed in the bar of its drafts. */
export function Commands({ settlement }: { readonly settlement: Settlement }) {
  const { api, may } = useOperator();
  const client = useQueryClient();
  const [reopening, setReopening] = useState(false);
  const { id, state, siteName, reversed } = settlement;
  const carryOut = (command: Command, key: string) => {
    return command.name === 'reopen' ? api.reopen(id, command.note, key) : api.recompute(id, key);
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
  return (
    <>
      {may('settlement.recompute', state) ? (
        <button type="button" className="button" aria-disabled={running.isPending} onClick={() => running.mutate({ name: 'recompute' })}>
          {running.isPending && running.variables.name === 'recompute' ? words.working : text.recompute}
        </button>
      ) : null}
      {may('settlement.reopen', state) ? (
        <button type="button" className="button" onClick={() => setReopening(true)}>
          {text.reopen}
        </button>
      ) : null}
      {may('settlement.question', state) && settlement.reversed === null && openNote(settlement, 'question') === null ? <NoteButton settlement={settlement} kind="question" /> : null}
      {state === 'numbered' ? <span className="soft">{words.statement.inPreparation}</span> : null}
      {may('settlement.reverse', state) && reversed === null ? <ReverseButton settlement={settlement} /> : null}
      {state === 'issued' ? <StatementLink settlementId={id} about={siteName} main /> : null}
      {running.isError && !reopening ? <TroubleNotice error={running.error} /> : null}
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
