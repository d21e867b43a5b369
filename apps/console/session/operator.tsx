import { MutationCache, QueryClient, QueryClientProvider } from '@tanstack/react-query';
import { createContext, use, useMemo, type ReactNode } from 'react';
import { can } from '#domain/permissions/can';
import type { Action } from '#domain/permissions/table';
import { createOperatorApi, type OperatorApi } from '../api/operator-api';
import { troubleOf } from '../api/problem';
import type { Account, Membership } from '../api/shapes';

export interface Operator {
  readonly membership: Membership;
  readonly account: Account;
  readonly api: OperatorApi;
  /** Whether the role allows it, in this state if one is given; the api decides about the single thing. */
  readonly may: (action: Action, state?: string) => boolean;
  /** Address of a screen of this operator: `to('month-end')`. */
  readonly to: (path: string) => string;
}

const OperatorContext = createContext<Operator | null>(null);

/** The operator whom this tab is about. Its code stands in the address, so two tabs may show two operators. */
export function useOperator(): Operator {
  const operator = use(OperatorContext);
  if (operator === null) throw new Error('There is no operator around this component');
  return operator;
}

interface OperatorProviderProps {
  readonly membership: Membership;
  readonly account: Account;
  readonly children: ReactNode;
}

/** Rendered with the operator's id as key: another operator gets another cache, so that nothing of one shows under the other. */
export function OperatorProvider({ membership, account, children }: OperatorProviderProps) {
  const operator = useMemo(() => describeOperator(membership, account), [membership, account]);
  const client = useMemo(() => {
    // Whatever was done may have changed what other screens show: each asks anew when it is opened. What is in sight is asked for by whoever changed it.
    const own: QueryClient = createQueryClient(new MutationCache({ onSettled: () => own.invalidateQueries({ refetchType: 'none' }) }));
    return own;
  }, []);
  return (
    <QueryClientProvider client={client}>
      <OperatorContext value={operator}>{children}</OperatorContext>
    </QueryClientProvider>
  );
}

/** Address of an operator's part of the console. */
export function operatorPath(operatorCode: string): string {
  return `/operators/${encodeURIComponent(operatorCode)}`;
}

function describeOperator(membership: Membership, account: Account): Operator {
  const { id: tenantId, code, role, siteIds, personId } = membership;
  const actor = { kind: 'user', tenantId, id: account.id, role, siteIds, personId } as const;
  return {
    membership,
    account,
    api: createOperatorApi(tenantId),
    may: (action, state) => can(actor, action, state === undefined ? {} : { state }),
    to: (path) => `${operatorPath(code)}/${path}`,
  };
}

export function createQueryClient(mutationCache = new MutationCache()): QueryClient {
  return new QueryClient({
    mutationCache,
    defaultOptions: {
      queries: {
        staleTime: 15_000,
        // Without a connection a question fails and says so, instead of waiting in silence for a better time.
        networkMode: 'always',
        // A refusal stays one however often it is asked; a lost connection may come back.
        retry: (failures, error) => troubleOf(error)?.kind === 'unreachable' && failures < 2,
      },
      mutations: { networkMode: 'always' },
    },
  });
}
