import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { isCurrencyCode } from '#domain/money/currency';
import type { CounterBoard, Machine, MeterReading } from '../api/shapes';
import { dayOf, formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { TitledTable } from '../parts/titled-table';
import { useOperator } from '../session/operator';
import { OpenButton } from '../set-up/parts';
import { operatorQuery } from '../set-up/queries';
import { siteQuery } from '../sites/queries';
import { words } from '../words/words';
import { FitBoard } from './board-form';
import { boardsQuery, readingsQuery } from './queries';

const text = words.machines.meters;

/** The meters in it with what they showed last; whoever only counts is not shown any reading. */
export function MeterSection({ machine }: { readonly machine: Machine }) {
  const { api, may } = useOperator();
  const [isFitting, setFitting] = useState(false);
  const boards = useQuery(boardsQuery(api, machine.id));
  const mayRead = may('meter-reading.read');
  const readings = useQuery({ ...readingsQuery(api, machine.id), enabled: mayRead });
  const current = boards.data?.find(({ removedAt }) => removedAt === null) ?? null;
  return (
    <div className="stack">
      <Answer question={boards} lines={3}>{() => <Meters board={current} readings={mayRead ? (readings.data ?? null) : null} />}</Answer>
      {may('meter.set-up') && boards.isSuccess ? (
        <div>
          <OpenButton onClick={() => setFitting(true)}>{current === null ? text.fit : text.fitAnother}</OpenButton>
        </div>
      ) : null}
      {isFitting ? <Fitting machine={machine} replaced={current} onClose={() => setFitting(false)} /> : null}
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

/** What a unit is worth is in the currency of the site; in the shop in that of the books. */
function Fitting({ machine, replaced, onClose }: { readonly machine: Machine; readonly replaced: CounterBoard | null; readonly onClose: () => void }) {
  const { api } = useOperator();
  const siteId = machine.placement?.siteId;
  const site = useQuery({ ...siteQuery(api, siteId ?? ''), enabled: siteId !== undefined });
  const office = useQuery({ ...operatorQuery(api), enabled: siteId === undefined });
  const currency = siteId === undefined ? office.data?.currency : site.data?.currency;
  if (currency === undefined || !isCurrencyCode(currency)) return null;
  return <FitBoard machine={machine} replaced={replaced} currency={currency} onClose={onClose} />;
}
