import { queryOptions, useQuery } from '@tanstack/react-query';
import type { OperatorApi } from '../api/operator-api';
import { words } from '../words/words';
import { useOperator } from './operator';

export const membersQuery = (api: OperatorApi) =>
  queryOptions({ queryKey: ['members'], queryFn: ({ signal }) => api.members(signal), staleTime: 5 * 60_000 });

/** Names whoever acted. The api tells `user:<id>`; who may not see the members learns whether it was they themselves. */
export function useActorName(): (actor: string) => string {
  const { api, may, account } = useOperator();
  const { data } = useQuery({ ...membersQuery(api), enabled: may('member.read') });
  return (actor) => {
    const [kind, id = ''] = actor.split(':');
    if (kind === 'token') return words.actor.token;
    if (kind === 'system') return words.actor.system;
    if (kind === 'operator') return words.actor.operator;
    if (kind !== 'user') return actor;
    if (id === account.id) return words.actor.you;
    return data?.items.find((member) => member.id === id)?.name ?? words.actor.colleague;
  };
}
