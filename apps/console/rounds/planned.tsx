import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-router';
import type { Round } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { ConfirmWithReason } from '../parts/confirm-with-reason';
import { useMutation } from '../parts/use-mutation';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { beginsAs, type Beginning } from './again';
import { roundsKey } from './queries';
import styles from './rounds.module.css';

const text = words.rounds.planned;

/** Rounds of today and later, with their stops in order. */
export function Planned({ rounds, onChange, onPlan }: { readonly rounds: readonly Round[]; readonly onChange: (round: Round) => void; readonly onPlan: (beginning: Beginning) => void }) {
  const { api, may, to } = useOperator();
  const client = useQueryClient();
  const [ending, setEnding] = useState<Round | null>(null);
  const cancelling = useMutation({
    mutationFn: api.cancelRound,
    onSuccess: async () => {
      await client.invalidateQueries({ queryKey: roundsKey });
      setEnding(null);
    },
  });
  return (
    <>
      <ul className={styles.rounds}>
        {[...rounds].reverse().map((round) => (
          <li key={round.id}>
            <h3>{`${round.name}, ${formatDay(round.plannedOn, locale)}`}</h3>
            <p>{round.collectorName}</p>
            <ol className={styles.numbered}>
              {round.stops.map(({ siteId, siteName, collectedOn }) => (
                <li key={siteId}>
                  {siteName}
                  {collectedOn === null ? null : <span className="soft">{`, ${text.visited}`}</span>}
                </li>
              ))}
            </ol>
            {round.cancelledBecause === null ? null : <p className="state state-alarm">{text.cancelled(round.cancelledBecause)}</p>}
            {round.state === 'cancelled' || !may('round.plan') ? null : (
              <div className="row">
                <button type="button" className="button button-small" onClick={() => onChange(round)}>
                  {text.change}
                  <span className="visually-hidden">{` ${round.name}`}</span>
                </button>
                <Link className="button button-small" to={to(`rounds/${round.id}`)}>
                  {text.sheet}
                  <span className="visually-hidden">{` ${round.name}`}</span>
                </Link>
                <button type="button" className="button button-small" onClick={() => onPlan(beginsAs(round, round.stops))}>
                  {words.rounds.past.planAgain}
                  <span className="visually-hidden">{` ${round.name}`}</span>
                </button>
                <button type="button" className="button button-small" onClick={() => setEnding(round)}>
                  {text.cancel}
                  <span className="visually-hidden">{` ${round.name}`}</span>
                </button>
              </div>
            )}
          </li>
        ))}
      </ul>
      {ending === null ? null : (
        <ConfirmWithReason
          title={text.cancelTitle(ending.name)} what={text.cancelWhat} action={text.cancel} busy={cancelling.isPending} error={cancelling.error}
          onConfirm={(reason) => cancelling.mutate({ id: ending.id, reason })} onClose={() => setEnding(null)}
        />
      )}
    </>
  );
}
