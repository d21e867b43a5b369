import { useState } from 'react';
import { changePassword, signOutEverywhere } from '../api/account-api';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt, Form } from '../parts/form';
import { formErrorsOf } from '../parts/form-errors';
import { Page } from '../parts/page';
import { TroubleNotice } from '../parts/trouble';
import { useMutation } from '../parts/use-mutation';
import { words } from '../words/words';
import { useAccount, useReplaceAccount } from './account';
import { SecondFactor } from './second-factor';

/** `account`: password, second factor, and the way out of every session. */
export function AccountPage() {
  const { name, email } = useAccount();
  return (
    <Page title={words.ownAccount.title} lead={words.ownAccount.lead(name, email)}>
      <section className="section" aria-labelledby="change-password">
        <h2 id="change-password">{words.ownAccount.password}</h2>
        <PasswordForm />
      </section>
      <section className="section" aria-labelledby="second-factor">
        <h2 id="second-factor">{words.account.secondFactor}</h2>
        <SecondFactor />
      </section>
      <section className="section" aria-labelledby="everywhere">
        <h2 id="everywhere">{words.ownAccount.sessions}</h2>
        <Everywhere />
      </section>
    </Page>
  );
}

function PasswordForm() {
  const replaceAccount = useReplaceAccount();
  const [entered, setEntered] = useState({ currentPassword: '', newPassword: '' });
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const changing = useMutation({
    mutationFn: changePassword,
    onSuccess: (account) => {
      replaceAccount(account);
      setEntered({ currentPassword: '', newPassword: '' });
    },
    onError: (error) => setErrors(formErrorsOf(error, telling)),
  });
  const submit = () => {
    const missing = [
      ...(entered.currentPassword === '' ? [{ fieldId: 'current-password', message: words.signIn.passwordMissing }] : []),
      ...(entered.newPassword === '' ? [{ fieldId: 'new-password', message: words.ownAccount.newPasswordMissing }] : []),
    ];
    setErrors(missing);
    if (missing.length === 0) changing.mutate(entered);
  };
  return (
    <>
      <div role="status">{changing.isSuccess ? <p className="notice">{words.ownAccount.passwordChanged}</p> : null}</div>
      <Form errors={errors} busy={changing.isPending} action={words.ownAccount.changePassword} onSubmit={submit}>
        <Field
          id="current-password" label={words.account.currentPassword} type="password" autoComplete="current-password" value={entered.currentPassword}
          error={errorAt(errors, 'current-password')} onValue={(currentPassword) => setEntered({ ...entered, currentPassword })}
        />
        <Field
          id="new-password" label={words.ownAccount.newPassword} hint={words.ownAccount.passwordHint} type="password" autoComplete="new-password"
          value={entered.newPassword} error={errorAt(errors, 'new-password')} onValue={(newPassword) => setEntered({ ...entered, newPassword })}
        />
      </Form>
    </>
  );
}

const telling = {
  fields: { currentPassword: 'current-password', newPassword: 'new-password' },
  expected: {
    'sign-in-refused': { fieldId: 'current-password', message: words.account.currentWrong },
    'password-too-weak': { fieldId: 'new-password', message: words.ownAccount.passwordTooWeak },
  },
};

function Everywhere() {
  const leaving = useMutation({
    mutationFn: async () => {
      await signOutEverywhere();
      window.location.assign('/sign-in');
    },
  });
  return (
    <>
      <p>{words.ownAccount.sessionsLead}</p>
      {leaving.isError ? <TroubleNotice error={leaving.error} /> : null}
      <div>
        <button type="button" className="button" aria-disabled={leaving.isPending} onClick={() => leaving.mutate()}>
          {words.ownAccount.signOutEverywhere}
        </button>
      </div>
    </>
  );
}
