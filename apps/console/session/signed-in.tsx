import { useQuery, useQueryClient } from '@tanstack/react-query';
import { Navigate, Outlet, useLocation } from 'react-router';
import { readAccount } from '../api/account-api';
import { codeOf } from '../api/problem';
import { Answer } from '../parts/answer';
import { AccountContext, accountKey } from './account';
import { SignInAgain } from './sign-in-again';

/** Everything behind the sign-in. Whoever is not signed in goes there first and comes back to where they wanted to go. */
export function SignedIn() {
  const { pathname, search } = useLocation();
  const client = useQueryClient();
  // Expiry is noticed by the requests that it refuses; asking again and again would only keep the session alive.
  const question = useQuery({ queryKey: accountKey, queryFn: ({ signal }) => readAccount(signal), staleTime: Infinity });
  if (codeOf(question.error) === 'not-signed-in' || question.data?.secondFactor === 'awaited') {
    const then = pathname === '/' ? '' : `?then=${encodeURIComponent(pathname + search)}`;
    return <Navigate to={`/sign-in${then}`} replace />;
  }
  return (
    <Answer question={question} lines={6}>
      {(account) => (
        <AccountContext value={{ account, replace: (changed) => client.setQueryData(accountKey, changed) }}>
          <Outlet />
          <SignInAgain account={account} />
        </AccountContext>
      )}
    </Answer>
  );
}
