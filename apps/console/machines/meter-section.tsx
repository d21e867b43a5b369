import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { CounterBoard, Machine, MeterReading } from '../api/shapes';
import { dayOf, formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { TitledTable } from '../parts/titled-table';
import { useOperator } from '../session/operator';
import { OpenButton } from '../set-up/parts';
import { words } from '../words/words';
import { FitBoard, RemoveBoard } from './board-form';
import { Openings, RecordOpening } from './board-openings';
import { useCurrencyAt } from './currency';
import { Prices } from './prices';
import { boardsQuery, readingsQuery } from './queries';
import { RecordReadings } from './reading-forms';
import { Readings } from './readings';

const text = words.machines.meters;

/** The meters in it with what they showed last; whoever only counts is not shown any reading. */
export function MeterSection({ machine }: { readonly machine: Machine }) {
  const { api, may } = useOperator();
  const [wish, setWish] = useState<'fit' | 'remove' | 'read' | 'opened' | null>(null);
  const close = () => setWish(null);
  const boards = useQuery(boardsQuery(api, machine.id));
  const mayRead = may('meter-reading.read');
  const readings = useQuery({ ...readingsQuery(api, machine.id), enabled: mayRead });
  const current = boards.data?.find(({ removedAt }) => removedAt === null) ?? null;
  return (
    <div className="stack">
      <Answer question={boards} lines={3}>{() => <Meters board={current} readings={mayRead ? (readings.data ?? null) : null} />}</Answer>
      {boards.isSuccess ? (
        <div className="row">
          {current !== null && may('meter-reading.record') ? <OpenButton onClick={() => setWish('read')}>{text.record}</OpenButton> : null}
          {may('meter.set-up') ? <OpenButton onClick={() => setWish('fit')}>{current === null ? text.fit : text.fitAnother}</OpenButton> : null}
          {current !== null && may('board-opening.record') ? <OpenButton onClick={() => setWish('opened')}>{words.machines.openings.record}</OpenButton> : null}
          {current !== null && may('meter.set-up') ? <OpenButton onClick={() => setWish('remove')}>{text.remove}</OpenButton> : null}
        </div>
      ) : null}
      <Openings machine={machine} />
      {mayRead ? <Readings machine={machine} question={readings} /> : null}
      {boards.isSuccess && boards.data.length > 0 ? <Prices machine={machine} /> : null}
      {wish === 'fit' ? <Fitting machine={machine} replaced={current} onClose={close} /> : null}
      {wish === 'remove' && current !== null ? <RemoveBoard machine={machine} board={current} onClose={close} /> : null}
      {wish === 'opened' ? <RecordOpening machine={machine} onClose={close} /> : null}
      {wish === 'read' && current !== null ? <RecordReadings machine={machine} board={current} onClose={close} /> : null}
    </div>
  );
}

function Meters({ board, readings }: { readonly board: CounterBoard | null; readonly readings: readonly MeterReading[] | null }) {
  const latest = (meterId: string): MeterReading | undefined =>
    readings?.filter((each) => each.meterId === meterId && each.replacedById === null && each.value !== null).toSorted((one, other) => (one.happenedAt < other.happenedAt ? 1 : -1))[0];
  const shown = (meterId: string): string => {
    const reading = latest(meterId);
    return reading === undefined || reading.value === null ? text.noReading : text.readAt(reading.value, formatInstant(reading.happenedAt, locale));
  };
  return (
    <>
      <TitledTable
        id="meters" title={text.title} none={text.none} columns={[text.meter, text.counts, text.unit, text.digits, ...(readings === null ? [] : [text.latest])]}
        rows={(board?.meters ?? []).map((meter) => (
          <tr key={meter.id}>
            <th scope="row">{meter.label}</th>
            <td>{meter.secondOf === null ? text.tenders[meter.tender] : text.secondCounterOf(board?.meters.find(({ id }) => id === meter.secondOf)?.label ?? '')}</td>
            <td>
              <Amount money={meter.unitValue} alone />
            </td>
            <td>{meter.digits ?? text.electronic}</td>
            {readings === null ? null : <td>{shown(meter.id)}</td>}
          </tr>
        ))}
      />
      {board === null ? null : <p className="soft small">{`${text.board} ${board.label}, ${text.since(formatDay(dayOf(new Date(board.fittedAt)), locale))}`}</p>}
    </>
  );
}

/** What a unit is worth is in the currency of the place where it stands. */
function Fitting({ machine, replaced, onClose }: { readonly machine: Machine; readonly replaced: CounterBoard | null; readonly onClose: () => void }) {
  const { currency } = useCurrencyAt(machine.placement?.siteId);
  return currency === null ? null : <FitBoard machine={machine} replaced={replaced} currency={currency} onClose={onClose} />;
}
