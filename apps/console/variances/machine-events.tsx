import type { VarianceFlagDetail } from '../api/shapes';
import { locale } from '../format/locale';
import { Moment } from '../keys/parts';
import { TitledTable } from '../parts/titled-table';
import { words } from '../words/words';

const text = words.variances.flag.events;

/** Open doors and faults that the machine reported since its box was emptied before. Nothing is shown of one that reports nothing. */
export function MachineEvents({ detail: { machineEvents, machineSays } }: { readonly detail: VarianceFlagDetail }) {
  if (machineEvents.length === 0 && machineSays.length === 0) return null;
  return (
    <>
      <TitledTable
        id="machine-events" title={text.title} none={text.none} columns={[text.what, text.from, text.until, text.lasted]}
        rows={machineEvents.map(({ kind, fault, startedAt, endedAt }) => (
          <tr key={`${kind} ${fault ?? ''} ${startedAt ?? ''} ${endedAt ?? ''}`}>
            <th scope="row">{kind === 'door' ? text.door : text.fault(fault)}</th>
            <td>{startedAt === null ? text.before : <Moment instant={startedAt} />}</td>
            <td>{endedAt === null ? text.notOver : <Moment instant={endedAt} />}</td>
            <td>{startedAt === null || endedAt === null ? null : lasted(Date.parse(endedAt) - Date.parse(startedAt))}</td>
          </tr>
        ))}
      />
      {machineEvents.length === 0 ? null : <p className="notice">{text.caution}</p>}
    </>
  );
}

/** In whole minutes up to two hours, and in whole hours from there; less than a minute counts as one. */
function lasted(milliseconds: number): string {
  const minutes = Math.max(1, Math.round(milliseconds / 60_000));
  const [value, unit] = minutes < 120 ? [minutes, 'minute'] : [Math.round(minutes / 60), 'hour'];
  return new Intl.NumberFormat(locale, { style: 'unit', unit, unitDisplay: 'long' }).format(value);
}
