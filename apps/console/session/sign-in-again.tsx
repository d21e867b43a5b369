import { useQueryClient } from '@tanstack/react-query';
import { useSyncExternalStore } from 'react';
import { useNavigate } from 'react-router';
import { answerSignInAgain, isWaitingForSignIn, onWaitingChange } from '../api/expired-session';
import type { Account } from '../api/shapes';
import { Dialog } from '../parts/dialog';
import { words } from '../words/words';
import { accountKey } from './account';
import { SignInForm } from './sign-in-form';

/** The session has expired: asks for the password over the page, which stays as it is with everything typed into it. */
export function SignInAgain({ account }: { readonly account: Account }) {
  const client = useQueryClient();
  const navigate = useNavigate();
  const isWaiting = useSyncExternalStore(onWaitingChange, isWaitingForSignIn);
  if (!isWaiting) return null;
  const leave = () => {
    answerSignInAgain(false);
    client.removeQueries({ queryKey: accountKey });
    void navigate('/sign-in');
  };
  return (
    <Dialog title={words.signIn.againTitle} onClose={leave} canClose={false}>
      <p>{words.signIn.againLead}</p>
      <SignInForm
        email={account.email}
        onSignedIn={(renewed) => {
          client.setQueryData(accountKey, renewed);
          answerSignInAgain(true);
        }}
      />
      <div>
        <button type="button" className="button-plain" onClick={leave}>
          {words.signIn.leave}
        </button>
      </div>
    </Dialog>
  );
}
