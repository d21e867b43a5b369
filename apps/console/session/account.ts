import { createContext, use } from 'react';
import type { Account } from '../api/shapes';

export const accountKey = ['account'] as const;

export const AccountContext = createContext<Account | null>(null);

/** Who is signed in. */
export function useAccount(): Account {
  const account = use(AccountContext);
  if (account === null) throw new Error('Nobody is signed in around this component');
  return account;
}
