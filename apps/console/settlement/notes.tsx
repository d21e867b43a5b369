import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { Membership, Settlement } from '../api/shapes';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import type { Said } from '../parts/field-words';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { inTheWay } from './in-the-way';
import { lastAnswer, openNote } from './open-note';
import { settlementQuery } from './queries';

export type NoteKind = 'hold' | 'release' | 'question' | 'answer';

interface NoteProps {
  readonly settlement: Settlement;
  readonly kind: NoteKind;
}

interface NoteDialogProps extends NoteProps {
  readonly onClose: () => void;
}

interface SayingProps {
  readonly id: string;
  readonly text: { readonly title: string; readonly what: string; readonly action: string; readonly label: string };
  readonly named?: readonly Said[];
  readonly say: (note: string, key: string) => Promise<Settlement>;
  readonly onSaid?: () => void;
  readonly onClose: () => void;
}

/** Asks for the words and says them; they stay in the history of the settlement. */
export function NoteDialog({ settlement: { id }, kind, onClose }: NoteDialogProps) {
  const { api, membership } = useOperator();
  return <Saying id={id} text={wordsFor(kind, membership.role)} say={(note, key) => api[kind](id, note, key)} onClose={onClose} />;
}

function Saying({ id, text: { title, what, action, label }, named = [], say, onSaid, onClose }: SayingProps) {
  const { api } = useOperator();
  const client = useQueryClient();
  const saying = useMutation({
    mutationFn: say,
    onSuccess: async (settlement) => {
      // One that was asked for before would come after it, and without the note.
      await client.cancelQueries({ queryKey: settlementQuery(api, id).queryKey });
      client.setQueryData(settlementQuery(api, id).queryKey, settlement);
      await Promise.all([['month-end'], ['settlement-notes']].map((queryKey) => client.invalidateQueries({ queryKey })));
      onSaid?.();
      onClose();
    },
  });
  return <ConfirmWithReason title={title} what={what} named={named} action={action} label={label} busy={saying.isPending} error={saying.error} onConfirm={(note) => saying.mutate(note)} onClose={onClose} />;
}

/** The office writes down what a site has asked by telephone. */
const wordsFor = (kind: NoteKind, role: Membership['role']) => words.settlement.notes[kind === 'question' && role !== 'site-manager' ? 'noted' : kind];

/** What an owner may let pass after it stood in the way of a review, all of it named; nothing for others, and for what nobody may. */
export function LetPass({ settlement, error, onPassed }: { readonly settlement: Settlement; readonly error: unknown; readonly onPassed: () => void }) {
  const { api, may } = useOperator();
  const [asked, setAsked] = useState(false);
  const { id } = settlement;
  const found = inTheWay(error);
  if (found === null || !may('settlement.override-flags', settlement.state)) return null;
  return (
    <>
      <button type="button" className="button" onClick={() => setAsked(true)}>
        {words.settlement.notes.override.action}
      </button>
      {asked ? (
        <Saying
          id={id} text={words.settlement.notes.override} named={found.said} say={(reason, key) => api.override(id, { reason, flagIds: found.flagIds, placementIds: found.placementIds }, key)}
          onSaid={onPassed} onClose={() => setAsked(false)}
        />
      ) : null}
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
  const asked = settlement.history.findLast(({ kind }) => kind === 'questioned');
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
          {asked === undefined ? null : <p className="soft"><q>{asked.note}</q></p>}
          <p>{answer.note}</p>
        </div>
      )}
    </>
  );
}
