import { useInfiniteQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { Round } from '../api/shapes';
import { dayOf, formatDay } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { More } from '../parts/more';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { pastRoundsQuery } from './queries';
import { beginsAs, missedStops, stopsToPlan, type Beginning } from './again';
import styles from './rounds.module.css';

const text = words.rounds.past;

interface PastProps {
  readonly onPlan: (beginning: Beginning) => void;
}

/** Rounds of days that are over with stops where nobody has been since. Nothing is shown when there is none. */
export function Missed({ onPlan }: PastProps) {
  const { api, may } = useOperator();
  const question = useInfiniteQuery(pastRoundsQuery(api, { missed: true }));
  const rounds = question.data?.pages.flatMap(({ items }) => items) ?? [];
  if (question.isSuccess && rounds.length === 0) return null;
  return (
    <section className="section" aria-labelledby="missed">
      <h2 id="missed">{text.missed}</h2>
      <Answer question={{ ...question, data: question.data === undefined ? undefined : rounds }} lines={3}>
        {(found) => (
          <ul className={styles.rounds}>
            {found.map((round) => (
              <li key={round.id}>
                <h3>{`${round.name}, ${formatDay(round.plannedOn, locale)}`}</h3>
                <p>{round.collectorName}</p>
                <ul>
                  {missedStops(round, dayOf(new Date())).map(({ siteId, siteName, plannedAgainOn }) => (
                    <li key={siteId}>
                      {siteName}
                      <span className={plannedAgainOn === null ? 'state state-alarm' : 'soft'}>{plannedAgainOn === null ? ` ${text.notVisited}` : `, ${text.again(formatDay(plannedAgainOn, locale))}`}</span>
                    </li>
                  ))}
                </ul>
                {may('round.plan') && stopsToPlan(round).length > 0 ? (
                  <div>
                    <PlanAgain round={round} label={text.planMissed} onPlan={() => onPlan(beginsAs(round, stopsToPlan(round)))} />
                  </div>
                ) : null}
              </li>
            ))}
          </ul>
        )}
      </Answer>
      <More question={question} />
    </section>
  );
}

/** Every round of days that are over, for whoever wants to go the same way again. Asked for when it is opened. */
export function Past({ onPlan }: PastProps) {
  const [isOpen, setOpen] = useState(false);
  return (
    <details className="section" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{text.title}</summary>
      {isOpen ? <PastRounds onPlan={onPlan} /> : null}
    </details>
  );
}

function PastRounds({ onPlan }: PastProps) {
  const { api, may } = useOperator();
  const question = useInfiniteQuery(pastRoundsQuery(api, { missed: false }));
  return (
    <>
      <Answer question={{ ...question, data: question.data?.pages.flatMap(({ items }) => items) }} lines={6}>
        {(rounds) =>
          rounds.length === 0 ? (
            <p className="soft">{text.none}</p>
          ) : (
            <ul className={styles.rounds}>
              {rounds.map((round) => (
                <li key={round.id}>
                  <h3>{`${round.name}, ${formatDay(round.plannedOn, locale)}`}</h3>
                  <p>{`${round.collectorName}. ${round.cancelledBecause === null ? text.visited(round.stops.filter(({ collectedOn }) => collectedOn !== null).length, round.stops.length) : words.rounds.planned.cancelled(round.cancelledBecause)}`}</p>
                  <p className="soft small">{round.stops.map(({ siteName }) => siteName).join(', ')}</p>
                  {may('round.plan') ? (
                    <div>
                      <PlanAgain round={round} label={text.planAgain} onPlan={() => onPlan(beginsAs(round, round.stops))} />
                    </div>
                  ) : null}
                </li>
              ))}
            </ul>
          )
        }
      </Answer>
      <More question={question} />
    </>
  );
}

function PlanAgain({ round, label, onPlan }: { readonly round: Round; readonly label: string; readonly onPlan: () => void }) {
  return (
    <button type="button" className="button button-small" onClick={onPlan}>
      {label}
      <span className="visually-hidden">{` ${round.name}, ${formatDay(round.plannedOn, locale)}`}</span>
    </button>
  );
}
