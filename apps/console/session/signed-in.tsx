import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useEffect, useState } from 'react';
import { Navigate, Outlet, useLocation } from 'react-router';
import { readAccount } from '../api/account-api';
import { codeOf, isAway } from '../api/problem';
import type { Account } from '../api/shapes';
import { Answer } from '../parts/answer';
import { speakAs } from '../words/language';
import { AccountContext, accountKey } from './account';
import { SignInAgain } from './sign-in-again';

const KEPT_AGAIN_MS = 10_000;

/** Where the api is away, whoever used this phone last to collect; what it can show then is on the phone, too. */
async function keptWithoutConnection(error: unknown): Promise<Account> {
  const kept = isAway(error) ? await (await import('../phone/store')).keptAccount().catch(() => null) : null;
  if (kept === null) throw error;
  return kept;
}

/** Everything behind the sign-in. Whoever is not signed in goes there first and comes back to where they wanted to go. */
export function SignedIn() {
  const { pathname, search } = useLocation();
  const client = useQueryClient();
  // Expiry is noticed by the requests that it refuses; asking again and again would only keep the session alive.
  const question = useQuery({
    queryKey: accountKey,
    queryFn: ({ signal }) => readAccount(signal).catch(keptWithoutConnection),
    staleTime: Infinity,
    // One that was kept is replaced by the server's as soon as there is a connection.
    refetchInterval: ({ state }) => (state.data?.csrf === '' ? KEPT_AGAIN_MS : false),
  });
  if (codeOf(question.error) === 'not-signed-in' || question.data?.secondFactor === 'awaited') {
    const then = pathname === '/' ? '' : `?then=${encodeURIComponent(pathname + search)}`;
    return <Navigate to={`/sign-in${then}`} replace />;
  }
  return (
    <Answer question={question} lines={6}>
      {(account) => (
        <AccountContext value={{ account, replace: (changed) => client.setQueryData(accountKey, changed) }}>
          <InOwnLanguage account={account} />
          <Outlet />
          <SignInAgain account={account} />
        </AccountContext>
      )}
    </Answer>
  );
}

/** Once, as the page begins: whoever signs in again later over what they are doing does not lose it to another language. */
function InOwnLanguage({ account }: { readonly account: Account }) {
  const [first] = useState(account);
  useEffect(() => speakAs(first), [first]);
  return null;
}
