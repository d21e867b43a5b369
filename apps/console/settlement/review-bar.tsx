import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useCallback, useLayoutEffect, useRef, useState } from 'react';
import { useNavigate } from 'react-router';
import type { AgreementRow, Settlement } from '../api/shapes';
import { locale } from '../format/locale';
import { difference, formatMoney } from '../format/money';
import { becauseOf, formatChange } from '../month-end/because';
import { changeOf } from '../month-end/list';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { LetPass, NoteDialog } from './notes';
import { openNote } from './open-note';
import { draftsQuery, settlementQuery } from './queries';
import { keysAreOn, keyCommand, rememberKeys, type ReviewCommand } from './review-keys';
import { ReviewTrouble } from './review-trouble';
import styles from './settlement.module.css';

const text = words.settlement.reviewBar;

/** The drafts of a period one after the other, those that stand out first: on, back, reviewed, held; by keys, too, for who wants them. */
export function ReviewBar({ settlement }: { readonly settlement: Settlement }) {
  const { api, may, to } = useOperator();
  const client = useQueryClient();
  const navigate = useNavigate();
  const { id, startsOn, state } = settlement;
  const question = useQuery(draftsQuery(api, startsOn));
  const drafts = question.data ?? [];
  const at = drafts.findIndex((each) => each.id === id);
  const [next, previous] = [at === -1 ? undefined : drafts[at + 1], drafts[at - 1]];
  // Until they are known nobody can say whether another one comes next.
  const goesOn = next !== undefined || question.isPending;
  const [holding, setHolding] = useState(false);
  const [keys, setKeys] = useState(keysAreOn);
  const isHeld = openNote(settlement, 'hold') !== null;
  // Whoever went elsewhere before the answer came stays there.
  const isShown = useRef(false);
  useLayoutEffect(() => {
    isShown.current = true;
    return () => {
      isShown.current = false;
    };
  }, []);
  const reviewing = useMutation({
    mutationFn: (_asked: void, key) => api.review(settlement, key),
    onSuccess: () => (next === undefined || !isShown.current ? undefined : navigate(to(`settlements/${next.id}`))),
    onSettled: async () => {
      await client.invalidateQueries({ queryKey: settlementQuery(api, id).queryKey });
      await client.invalidateQueries({ queryKey: ['month-end'] });
    },
  });
  const { mutate, isPending } = reviewing;
  const carryOut = useCallback(
    (command: ReviewCommand) => {
      if (command === 'next' && next !== undefined) void navigate(to(`settlements/${next.id}`));
      if (command === 'previous' && previous !== undefined) void navigate(to(`settlements/${previous.id}`));
      if (command === 'accept' && !isPending && !isHeld && !question.isPending) mutate();
      if (command === 'hold' && !isHeld && may('settlement.hold', state)) setHolding(true);
    },
    [next, previous, navigate, to, isPending, isHeld, question.isPending, mutate, may, state],
  );
  // Before the next draft is painted: a key pressed at once would else be meant for it and be lost with the one before.
  useLayoutEffect(() => {
    if (!keys) return undefined;
    const listen = (event: KeyboardEvent) => {
      const command = keyCommand(event);
      if (command === null) return;
      event.preventDefault();
      carryOut(command);
    };
    document.addEventListener('keydown', listen);
    return () => document.removeEventListener('keydown', listen);
  }, [keys, carryOut]);
  const unusual = drafts[at]?.unusual ?? null;
  return (
    <section className={`${styles.review} no-print`} aria-label={text.title}>
      {unusual === null ? null : <p>{unusualInWords(unusual)}</p>}
      <div className="row">
        <span className="soft">{at === -1 ? null : text.place(at + 1, drafts.length)}</span>
        <button type="button" className="button button-small" disabled={previous === undefined} onClick={() => carryOut('previous')}>
          {text.previous}
        </button>
        <button type="button" className="button button-small" disabled={next === undefined} onClick={() => carryOut('next')}>
          {text.next}
        </button>
        <button type="button" className="button button-main button-small" disabled={isHeld || question.isPending} aria-disabled={isPending} onClick={() => carryOut('accept')}>
          {isPending ? words.working : goesOn ? text.accept : words.settlement.review}
        </button>
        {isHeld ? null : (
          <button type="button" className="button button-small" onClick={() => carryOut('hold')}>
            {words.settlement.notes.hold.action}
          </button>
        )}
        <label className={styles.keys}>
          <input
            type="checkbox" checked={keys}
            onChange={(event) => {
              setKeys(event.currentTarget.checked);
              rememberKeys(event.currentTarget.checked);
            }}
          />
          {text.keys}
        </label>
      </div>
      {reviewing.isError ? <ReviewTrouble error={reviewing.error} settlement={settlement} /> : null}
      {reviewing.isError ? <LetPass settlement={settlement} error={reviewing.error} onPassed={() => reviewing.reset()} /> : null}
      {holding ? <NoteDialog settlement={settlement} kind="hold" onClose={() => setHolding(false)} /> : null}
    </section>
  );
}

/** By how much the payable of a row that stands out has changed, and why as far as the list tells. */
function unusualInWords(row: AgreementRow): string | null {
  const changed = row.payable === null || row.previousPayable === null ? null : difference({ now: row.payable, before: row.previousPayable });
  const thousandths = changeOf(row);
  return changed === null || thousandths === null ? null : text.unusual(`${formatMoney(changed, locale, 'exceptZero')} (${formatChange(thousandths)})`, becauseOf(row));
}
