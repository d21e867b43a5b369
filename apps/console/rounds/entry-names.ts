import { useQueries } from '@tanstack/react-query';
import { boardsQuery, machineQuery } from '../machines/queries';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { valueAt, type Entry, type Sent } from './leaves';

const text = words.rounds.kept;
const isId = (value: unknown): value is string => typeof value === 'string' && /^[0-9a-f-]{36}$/.test(value);

/** What each entry of a visit is called: of a meter with its machine, where that is known. */
export function useEntryNames(sent: Sent): (entry: Pick<Entry, 'group' | 'index'>) => string {
  const { api, may } = useOperator();
  const read = ['readings', 'unread'].flatMap((group) => (Array.isArray(sent[group]) ? sent[group].map((_each, index) => valueAt(sent, `${group}/${String(index)}/machineId`)) : []));
  const machineIds = may('machine.read') && may('meter.read') ? [...new Set(read.filter(isId))] : [];
  const machines = useQueries({ queries: machineIds.map((id) => machineQuery(api, id)) });
  const boards = useQueries({ queries: machineIds.map((id) => boardsQuery(api, id)) });
  const meters = new Map(machineIds.flatMap((_id, place) => (boards[place]?.data ?? []).flatMap((board) => board.meters.map(({ id, label }) => [id, `${machines[place]?.data?.tag ?? ''} ${label}`.trim()] as const))));
  return ({ group, index }) => {
    const meterId = group === 'readings' || group === 'unread' ? valueAt(sent, `${group}/${String(index)}/meterId`) : null;
    const meter = isId(meterId) ? meters.get(meterId) : undefined;
    const name = text.groups[group](index + 1);
    return meter === undefined ? name : text.entryOfMeter(name, meter);
  };
}
