import { useState } from 'react';
import { flushSync } from 'react-dom';
import { Link } from 'react-router';
import type { Machine, MeterReading } from '../api/shapes';
import { RecordedBy } from '../audit/recorded-by';
import { formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { Answer, type Question } from '../parts/answer';
import { focusOn } from '../parts/move-focus';
import { TitledTable } from '../parts/titled-table';
import { useOperator } from '../session/operator';
import { OpenButton } from '../set-up/parts';
import { words } from '../words/words';
import { CorrectReading } from './reading-forms';

const text = words.machines.meters;

/** As many as a page shows at once; the others are behind a button. */
const shownFirst = 12;

interface ReadingsProps {
  readonly machine: Machine;
  readonly question: Question<readonly MeterReading[]>;
}

/** What the meters showed in the last year, the latest first, with what became of it since the reading before. */
export function Readings({ machine, question }: ReadingsProps) {
  const { may } = useOperator();
  const [wrong, setWrong] = useState<MeterReading | null>(null);
  const [showsAll, setShowsAll] = useState(false);
  const mayCorrect = may('meter-reading.correct');
  const showAll = () => {
    flushSync(() => setShowsAll(true));
    focusOn(document.querySelectorAll('[aria-labelledby=readings] tbody tr')[shownFirst]);
  };
  return (
    <>
      <Answer question={question} lines={3}>
        {(readings) => {
          const latestFirst = readings.toSorted((one, other) => other.happenedAt.localeCompare(one.happenedAt) || other.recordedAt.localeCompare(one.recordedAt));
          const shown = showsAll ? latestFirst : latestFirst.slice(0, shownFirst);
          return (
            <>
              <TitledTable
                id="readings" title={text.readings} none={text.noReadings} columns={[text.when, text.meter, text.shows, text.sinceBefore, ...(mayCorrect ? [words.commands] : [])]}
                rows={shown.map((each) => (
                  <ReadingRow key={each.id} reading={each} onCorrect={mayCorrect ? () => setWrong(each) : null} />
                ))}
              />
              {shown.length === latestFirst.length ? null : (
                <div>
                  <button type="button" className="button" onClick={showAll}>
                    {text.allReadings(latestFirst.length)}
                  </button>
                </div>
              )}
            </>
          );
        }}
      </Answer>
      {wrong === null ? null : <CorrectReading machine={machine} reading={wrong} onClose={() => setWrong(null)} />}
    </>
  );
}

function ReadingRow({ reading, onCorrect }: { readonly reading: MeterReading; readonly onCorrect: (() => void) | null }) {
  const { to } = useOperator();
  const { happenedAt, meterLabel, value, passedEnd, phase, occasion, collectionId, replacedById, interval } = reading;
  const when = formatInstant(happenedAt, locale);
  return (
    <tr>
      <th scope="row">
        {when}
        <div className="soft small">{collectionId === null ? text.occasions[occasion] : <Link to={to(`collections/${collectionId}`)}>{text.occasions[occasion]}</Link>}</div>
      </th>
      <td>{meterLabel}</td>
      <td>
        {value ?? text.takenBack}
        {phase === 'only' ? null : <div className="soft small">{text.phases[phase]}</div>}
        {passedEnd ? <div className="soft small">{text.saidPassedEnd}</div> : null}
        <RecordedBy record={reading} />
      </td>
      <td>{interval === null ? null : <Since interval={interval} />}</td>
      {onCorrect === null ? null : (
        <td>
          {replacedById !== null || value === null ? null : (
            <OpenButton about={`${meterLabel}, ${when}`} onClick={onCorrect}>
              {text.correct}
            </OpenButton>
          )}
        </td>
      )}
    </tr>
  );
}

/** What cannot be so is marked, and says what to do about it. */
function Since({ interval: { kind, units, value, inWorkshop, acrossPlaces, acrossPrices, acrossOpening } }: { readonly interval: NonNullable<MeterReading['interval']> }) {
  if (acrossOpening) return <span className="state state-alarm">{text.acrossOpening}</span>;
  const says = text.intervals[kind](units ?? '', value === null ? null : formatMoney(value, locale));
  return kind === 'reset-or-wrong' || kind === 'rollover-or-reset' || kind === 'above-ceiling' ? <span className="state state-alarm">{says}</span> : <>{says}{inWorkshop ? <div className="soft small">{text.inWorkshop}</div> : null}{acrossPrices ? <div className="state state-alarm">{text.acrossPrices}</div> : null}{acrossPlaces ? <div className="state state-alarm">{text.acrossPlaces}</div> : null}</>;
}
