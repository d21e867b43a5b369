import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useEffect, useState } from 'react';
import { useNavigate } from 'react-router';
import { acceptInvitation, lookAtLink, setPasswordByLink } from '../api/account-api';
import type { Account, LookAtLinkResponse } from '../generated';
import { Answer } from '../parts/answer';
import type { FormError } from '../parts/error-summary';
import { Field } from '../parts/field';
import { errorAt, Form } from '../parts/form';
import { formErrorsOf } from '../parts/form-errors';
import { Page } from '../parts/page';
import { useMutation } from '../parts/use-mutation';
import { words } from '../words/words';
import { accountKey } from './account';
import { SignInForm } from './sign-in-form';
import styles from './sign-in.module.css';

/** `link#secret`: where an invitation, or a link to set a new password, leads. */
export function LinkPage() {
  // Read once and taken out of the address, so that it stays in no history and no screenshot.
  const [secret] = useState(() => window.location.hash.slice(1));
  useEffect(() => window.history.replaceState(window.history.state, '', '/link'), []);
  const question = useQuery({ queryKey: ['link', secret], queryFn: () => lookAtLink(secret), staleTime: Infinity, gcTime: 0 });
  const link = question.data;
  return (
    <div className={styles.frame}>
      <Page title={link === undefined ? words.link.title : words.link.titles[link.kind]} lead={link === undefined ? undefined : link.operatorName}>
        <Answer question={question}>{(found) => (found.kind === 'invitation' ? <Accept secret={secret} link={found} /> : <NewPassword secret={secret} link={found} />)}</Answer>
      </Page>
    </div>
  );
}

interface LinkProps {
  readonly secret: string;
  readonly link: LookAtLinkResponse;
}

function Accept({ secret, link }: LinkProps) {
  const enter = useEntering();
  const [name, setName] = useState('');
  const [password, setPassword] = useState('');
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const [codeAwaited, setCodeAwaited] = useState(false);
  const accepting = useMutation({
    mutationFn: () => acceptInvitation({ secret, password, ...(link.hasAccount ? {} : { name }) }),
    onSuccess: (account) => (account.secondFactor === 'awaited' ? setCodeAwaited(true) : enter(account)),
    onError: (error) => setErrors(formErrorsOf(error, passwordTelling)),
  });
  const submit = () => {
    const missing = [
      ...(link.hasAccount || name.trim() !== '' ? [] : [{ fieldId: 'name', message: words.link.nameMissing }]),
      ...(password === '' ? [{ fieldId: 'password', message: words.signIn.passwordMissing }] : []),
    ];
    setErrors(missing);
    if (missing.length === 0) accepting.mutate();
  };
  if (codeAwaited) return <SignInForm email={link.email} onSignedIn={enter} />;
  return (
    <Form errors={errors} busy={accepting.isPending} action={words.link.accept} onSubmit={submit}>
      <p>{link.hasAccount ? words.link.known(link.email) : words.link.unknown(link.email)}</p>
      <input type="hidden" autoComplete="username" value={link.email} readOnly />
      {link.hasAccount ? null : (
        <Field id="name" label={words.link.name} autoComplete="name" value={name} error={errorAt(errors, 'name')} onValue={setName} />
      )}
      <Field
        id="password" label={words.signIn.password} type="password" value={password} autoComplete={link.hasAccount ? 'current-password' : 'new-password'}
        hint={link.hasAccount ? undefined : words.ownAccount.passwordHint} error={errorAt(errors, 'password')} onValue={setPassword}
      />
    </Form>
  );
}

function NewPassword({ secret, link }: LinkProps) {
  const navigate = useNavigate();
  const [password, setPassword] = useState('');
  const [errors, setErrors] = useState<readonly FormError[]>([]);
  const setting = useMutation({
    mutationFn: () => setPasswordByLink({ secret, password }),
    onSuccess: () => void navigate('/sign-in'),
    onError: (error) => setErrors(formErrorsOf(error, passwordTelling)),
  });
  const submit = () => {
    const missing = password === '' ? [{ fieldId: 'password', message: words.signIn.passwordMissing }] : [];
    setErrors(missing);
    if (missing.length === 0) setting.mutate();
  };
  return (
    <Form errors={errors} busy={setting.isPending} action={words.ownAccount.changePassword} onSubmit={submit}>
      <p>{words.link.forAccount(link.email)}</p>
      <Field
        id="password" label={words.ownAccount.newPassword} type="password" autoComplete="new-password" value={password} hint={words.ownAccount.passwordHint}
        error={errorAt(errors, 'password')} onValue={setPassword}
      />
    </Form>
  );
}

const passwordTelling = {
  fields: { name: 'name', password: 'password' },
  expected: {
    'password-too-weak': { fieldId: 'password', message: words.ownAccount.passwordTooWeak },
    'sign-in-refused': { fieldId: 'password', message: words.signIn.refused },
  },
};

function useEntering(): (account: Account) => void {
  const client = useQueryClient();
  const navigate = useNavigate();
  return (account) => {
    client.setQueryData(accountKey, account);
    void navigate('/', { replace: true });
  };
}
