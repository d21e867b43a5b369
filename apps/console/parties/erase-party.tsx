import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { Party, PartyErasure } from '../api/shapes';
import { dayOf, formatDay } from '../format/day';
import { locale } from '../format/locale';
import { Confirm } from '../parts/confirm';
import { useEnding } from '../parts/use-ending';
import { useOperator } from '../session/operator';
import { OpenButton } from '../set-up/parts';
import { partiesKey } from '../set-up/queries';
import { words } from '../words/words';

const text = words.setUp.parties.erasure;

/** Erases who a payee was, where the books let it be; otherwise it says what is in the way. */
export function EraseParty({ party }: { readonly party: Party }) {
  const { api } = useOperator();
  const [isAsking, setAsking] = useState(false);
  const question = useQuery({ queryKey: [...partiesKey, party.id, 'erasure'], queryFn: ({ signal }) => api.partyErasure(party.id, signal), enabled: party.erasedAt === null });
  const erasing = useEnding({ send: api.eraseParty, changes: [partiesKey, ['sites'], ['money-out']], onDone: () => setAsking(false) });
  if (party.erasedAt !== null) return <p className="notice">{text.isErased(formatDay(dayOf(new Date(party.erasedAt)), locale))}</p>;
  const reasons = question.data === undefined ? null : reasonsAgainst(question.data);
  return (
    <section className="section" aria-labelledby="erasure">
      <h2 id="erasure">{text.title}</h2>
      <p className="soft">{text.what}</p>
      {reasons === null || reasons.length === 0 ? null : (
        <>
          <p>{text.notYet}</p>
          <ul>
            {reasons.map((reason) => (
              <li key={reason}>{reason}</li>
            ))}
          </ul>
        </>
      )}
      {reasons?.length === 0 ? (
        <div>
          <OpenButton onClick={() => setAsking(true)}>{text.erase}</OpenButton>
        </div>
      ) : null}
      {isAsking ? (
        <Confirm title={text.sure(party.name)} action={text.erase} busy={erasing.isPending} error={erasing.error} onConfirm={() => erasing.mutate(party.id)} onClose={() => setAsking(false)}>
          <p>{text.what}</p>
          <p>{text.forPeople}</p>
        </Confirm>
      ) : null}
    </section>
  );
}

function reasonsAgainst({ inTheWay, keptUntil, source, isHeld }: PartyErasure): string[] {
  return [
    ...(isHeld ? [text.held] : []),
    ...inTheWay.map(({ kind, which }) => text.inTheWay[kind](/^\d{4}-\d\d-\d\d$/.test(which) ? formatDay(which, locale) : which)),
    ...(keptUntil === null ? [] : [text.keptUntil({ day: formatDay(keptUntil, locale), source })]),
  ];
}
