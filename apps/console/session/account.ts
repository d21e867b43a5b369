import { createContext, use } from 'react';
import type { Account } from '../generated';

export const accountKey = ['account'] as const;

interface SignedInAccount {
  readonly account: Account;
  /** After something has changed about the account itself. */
  readonly replace: (account: Account) => void;
}

export const AccountContext = createContext<SignedInAccount | null>(null);

/** Who is signed in. */
export function useAccount(): Account {
  return useSignedIn().account;
}

export function useReplaceAccount(): (account: Account) => void {
  return useSignedIn().replace;
}

function useSignedIn(): SignedInAccount {
  const signedIn = use(AccountContext);
  if (signedIn === null) throw new Error('Nobody is signed in around this component');
  return signedIn;
}
