import { infiniteQueryOptions, queryOptions } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';
import type { MachineFilter } from '../api/set-up-api';

export const machinesKey = ['machines'] as const;
export const gamesKey = ['games'] as const;

export const machinesFoundQuery = (api: OperatorApi, filter: MachineFilter) =>
  infiniteQueryOptions({
    queryKey: [...machinesKey, 'found', filter],
    queryFn: ({ pageParam, signal }) => api.machinesFound(filter, pageParam, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });
/** Everything about one machine lies under its own key. */
export const machineKey = (id: string) => [...machinesKey, id] as const;
export const machineQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: machineKey(id), queryFn: ({ signal }) => api.machine(id, signal) });
export const placementsOfQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: [...machineKey(id), 'placements'], queryFn: ({ signal }) => api.placementsOf(id, signal) });
export const installationsOfQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: [...machineKey(id), 'installations'], queryFn: ({ signal }) => api.installationsOf(id, signal) });
export const boardsQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: [...machineKey(id), 'boards'], queryFn: ({ signal }) => api.counterBoards(id, signal) });
export const readingsQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: [...machineKey(id), 'readings'], queryFn: ({ signal }) => api.meterReadings(id, signal) });
export const pricesQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: [...machineKey(id), 'prices'], queryFn: ({ signal }) => api.meterPrices(id, signal) });
export const openingsQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: [...machineKey(id), 'openings'], queryFn: ({ signal }) => api.boardOpenings(id, signal) });
export const meterTasksKey = ['meter-tasks'] as const;
/** Of one machine, or of all. Under a key of its own: what is entered of one machine is gone from the list of all. */
export const meterTasksQuery = (api: OperatorApi, machineId: string | null) => queryOptions({ queryKey: [...meterTasksKey, machineId], queryFn: ({ signal }) => api.meterTasks(machineId, signal) });
export const locksOfMachineQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: [...machineKey(id), 'locks'], queryFn: ({ signal }) => api.locksOfMachine(id, signal) });
export const reportsOfQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: [...machineKey(id), 'reports'], queryFn: ({ signal }) => api.reportsOf(id, signal) });
export const outagesOfQuery = (api: OperatorApi, id: string) => queryOptions({ queryKey: [...machineKey(id), 'outages'], queryFn: ({ signal }) => api.outagesOf(id, signal) });

export const gamesQuery = (api: OperatorApi) => queryOptions({ queryKey: [...gamesKey, 'every'], queryFn: ({ signal }) => api.games(signal) });
export const runningGamesQuery = (api: OperatorApi, on: string) => queryOptions({ queryKey: [...gamesKey, 'running', on], queryFn: ({ signal }) => api.runningGames(on, signal) });
