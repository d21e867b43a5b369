import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { troubleOf } from '../api/problem';
import type { Membership, Settlement } from '../api/shapes';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { lastAnswer, openNote } from './open-note';
import { settlementQuery } from './queries';

export type NoteKind = 'hold' | 'release' | 'question' | 'answer' | 'override';

interface NoteProps {
  readonly settlement: Settlement;
  readonly kind: NoteKind;
}

interface NoteDialogProps extends NoteProps {
  readonly onSaid?: () => void;
  readonly onClose: () => void;
}

/** Asks for the words and says them; they stay in the history of the settlement. */
export function NoteDialog({ settlement: { id }, kind, onSaid, onClose }: NoteDialogProps) {
  const { api, membership } = useOperator();
  const client = useQueryClient();
  const { title, what, action, label } = wordsFor(kind, membership.role);
  const saying = useMutation({
    mutationFn: (note: string) => api[kind](id, note),
    onSuccess: async (settlement) => {
      // One that was asked for before would come after it, and without the note.
      await client.cancelQueries({ queryKey: settlementQuery(api, id).queryKey });
      client.setQueryData(settlementQuery(api, id).queryKey, settlement);
      await Promise.all([['month-end'], ['settlement-notes']].map((queryKey) => client.invalidateQueries({ queryKey })));
      onSaid?.();
      onClose();
    },
  });
  return <ConfirmWithReason title={title} what={what} action={action} label={label} busy={saying.isPending} error={saying.error} onConfirm={(note) => saying.mutate(note)} onClose={onClose} />;
}

/** The office writes down what a site has asked by telephone. */
const wordsFor = (kind: NoteKind, role: Membership['role']) => words.settlement.notes[kind === 'question' && role !== 'site-manager' ? 'noted' : kind];

/** What an owner may let pass after it stood in the way of a review; nothing for others, and for what nobody may. */
export function LetPass({ settlement, error, onPassed }: { readonly settlement: Settlement; readonly error: unknown; readonly onPassed: () => void }) {
  const { may } = useOperator();
  const [asked, setAsked] = useState(false);
  const trouble = troubleOf(error);
  const mayPass = trouble?.kind === 'refused' && (trouble.problem.code === 'flags-open' || trouble.problem.code === 'cannot-be-settled');
  if (!mayPass || !may('settlement.override-flags', settlement.state)) return null;
  return (
    <>
      <button type="button" className="button" onClick={() => setAsked(true)}>
        {words.settlement.notes.override.action}
      </button>
      {asked ? <NoteDialog settlement={settlement} kind="override" onSaid={onPassed} onClose={() => setAsked(false)} /> : null}
    </>
  );
}

export function NoteButton({ settlement, kind }: NoteProps) {
  const { membership } = useOperator();
  const [asked, setAsked] = useState(false);
  return (
    <>
      <button type="button" className="button" onClick={() => setAsked(true)}>
        {wordsFor(kind, membership.role).action}
      </button>
      {asked ? <NoteDialog settlement={settlement} kind={kind} onClose={() => setAsked(false)} /> : null}
    </>
  );
}

/** Why a draft is held, and what the site has asked, each with the way to settle it; and what was answered last. */
export function OpenNotes({ settlement }: { readonly settlement: Settlement }) {
  const { may, membership } = useOperator();
  const { state } = settlement;
  const hold = state === 'draft' ? openNote(settlement, 'hold') : null;
  const question = openNote(settlement, 'question');
  const ofSite = membership.role === 'site-manager';
  const answer = ofSite ? lastAnswer(settlement) : null;
  const text = words.settlement;
  return (
    <>
      {hold === null ? null : (
        <div className="notice notice-alarm">
          <strong>{text.held}</strong>
          <p>{hold.note}</p>
          <div>{may('settlement.release', state) ? <NoteButton settlement={settlement} kind="release" /> : null}</div>
        </div>
      )}
      {question === null ? null : (
        <div className="notice">
          <strong>{ofSite ? text.questionedByYou : text.questioned}</strong>
          <p>{question.note}</p>
          <div>{may('settlement.answer', state) ? <NoteButton settlement={settlement} kind="answer" /> : null}</div>
        </div>
      )}
      {answer === null ? null : (
        <div className="notice">
          <strong>{text.answeredWith}</strong>
          <p>{answer.note}</p>
        </div>
      )}
    </>
  );
}
